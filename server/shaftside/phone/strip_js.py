"""JavaScript without its comments and needless space, as the phone gets it. Every token stays.

Comments and types are written for whoever reads `web/`; a phone on a plant's network need not carry them.
A line end can end a statement, so it goes only where none can end: after `{ ( [ , ;` or an operator, and before what goes on.
A licence comment (`/*!`, `@license`, `@preserve`) stays too. tests/web holds the result against a real parser.
"""

from __future__ import annotations

import re

# After these a slash begins a regular expression; after a name, a number, `)` or `]` it divides.
_BEFORE_REGEX = frozenset("(,=:[!&|?{};+-*%~^<>")
_WORDS_BEFORE_REGEX = frozenset(
    [
        "return",
        "typeof",
        "case",
        "in",
        "of",
        "delete",
        "void",
        "throw",
        "new",
        "else",
        "do",
        "instanceof",
        "yield",
        "await",
    ]
)
_LICENCE = re.compile(r"/\*!|@license|@preserve")
_WORD_AT_END = re.compile(r"[A-Za-z_$][\w$]*\Z")
_STRING = {
    '"': re.compile(r'"(?:[^"\\\n]|\\.)*"', re.DOTALL),
    "'": re.compile(r"'(?:[^'\\\n]|\\.)*'", re.DOTALL),
}
_REGEX = re.compile(r"/(?:[^/\\\[\n]|\\.|\[(?:[^\]\\\n]|\\.)*\])+/[a-z]*")
_SPACED = re.compile(
    r" ?([{}()\[\];,=<>?:&|!*]+) ?"
)  # no two of these with a space between are one token without it
_SUM = re.compile(r"(?<![+-]) ?([+-]) ?(?![+-])")  # but `a + +b` is not `a++b`
_CLEAR = frozenset("{}\"'`")  # no token goes over one of these
_CLEAR_AFTER = _CLEAR | frozenset("([,; ")
_OPEN_END = frozenset("{([,;=?:&|>")
_GOES_ON = ("}", ")", "]", "? ", ": ", "&& ", "|| ", "?? ")
_MEMBER = re.compile(r"\.[A-Za-z_$]")
_PLAIN = re.compile(r"[^\"'`/{}\n]+")


class NotUnderstood(Exception):
    """The text does not end where a string, a template or a comment in it should."""


def strip(text: str) -> str:
    """The same program, smaller. Raises NotUnderstood."""
    scanner = _Scanner(text)
    scanner.code(inner=False)
    return scanner.result()


class _Scanner:
    """Walks the text once. out: pieces; those marked as kept are inside a template and touch no indentation."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.out: list[str] = []
        self.line: list[str] = []  # the code of the line so far, for what a slash means and what to trim

    def result(self) -> str:
        self._end_line()
        return "".join(self.out).strip("\n") + "\n"

    def code(self, inner: bool) -> None:
        """Code to its end; inner: to the brace that closes `${`."""
        text, depth = self.text, 0
        while self.at < len(text):
            char = text[self.at]
            if char == "\n":
                self._end_line()
                self.at += 1
            elif char in _STRING:
                self._take(_STRING[char], "a string")
            elif char == "`":
                self._template()
            elif text.startswith("//", self.at):
                end = text.find("\n", self.at)
                self.at = len(text) if end < 0 else end
            elif text.startswith("/*", self.at):
                self._comment()
            elif char == "/":
                if self._regex_may_stand_here():
                    self._take(_REGEX, "a regular expression")
                else:
                    self._put(char)
            elif char == "{":
                depth += 1
                self._put(char)
            elif char == "}":
                if inner and depth == 0:
                    return
                depth -= 1
                self._put(char)
            else:
                found = _PLAIN.match(text, self.at)
                assert found is not None
                self.at = found.end()
                self._plain(found.group())
        if inner:
            raise NotUnderstood("a template's ${ is not closed")

    def _plain(self, code: str) -> None:
        """Names, numbers and signs, without the spaces that part nothing."""
        code = _SUM.sub(r"\1", _SPACED.sub(r"\1", code))
        if self.line and self.line[-1][-1] in _CLEAR_AFTER:
            code = code.removeprefix(" ")
        if self.text[self.at : self.at + 1] in _CLEAR:
            code = code.removesuffix(" ")
        if code:
            self.line.append(code)

    def _put(self, char: str) -> None:
        self.line.append(char)
        self.at += 1

    def _take(self, pattern: re.Pattern[str], what: str) -> None:
        found = pattern.match(self.text, self.at)
        if found is None:
            raise NotUnderstood(f"{what} is not closed at character {self.at}")
        self.line.append(found.group())
        self.at = found.end()

    def _comment(self) -> None:
        end = self.text.find("*/", self.at + 2)
        if end < 0:
            raise NotUnderstood(f"a comment is not closed at character {self.at}")
        comment = self.text[self.at : end + 2]
        self.at = end + 2
        if _LICENCE.search(comment):
            self.line.append(comment)
        elif "\n" in comment:
            self._end_line()
        elif self.line and self.line[-1][-1] not in _CLEAR_AFTER:
            self.line.append(" ")

    def _template(self) -> None:
        """A template as it is, with the code between `${` and `}` stripped too."""
        start = self.at
        self.at += 1
        while self.at < len(self.text):
            char = self.text[self.at]
            if char == "\\":
                self.at += 2
            elif char == "`":
                self.at += 1
                self.line.append(_Kept(self.text[start : self.at]))
                return
            elif self.text.startswith("${", self.at):
                self.at += 2
                self.line.append(_Kept(self.text[start : self.at]))
                self.code(inner=True)
                start = self.at
                self.at += 1
            else:
                self.at += 1
        raise NotUnderstood("a template is not closed")

    def _regex_may_stand_here(self) -> bool:
        before = "".join(self.line).rstrip() or "".join(self.out[-6:]).rstrip()
        if not before or before[-1] in _BEFORE_REGEX:
            return True
        word = _WORD_AT_END.search(before)
        return word is not None and word.group() in _WORDS_BEFORE_REGEX

    def _end_line(self) -> None:
        """Write the line without what stands before and after it; nothing at all for an empty one."""
        pieces = self.line
        self.line = []
        while pieces and not isinstance(pieces[0], _Kept) and not pieces[0].strip():
            pieces.pop(0)
        while pieces and not isinstance(pieces[-1], _Kept) and not pieces[-1].strip():
            pieces.pop()
        if not pieces:
            return
        if not isinstance(pieces[0], _Kept):
            pieces[0] = pieces[0].lstrip()
        if not isinstance(pieces[-1], _Kept):
            pieces[-1] = pieces[-1].rstrip()
        if (
            self.out
            and self.out[-1] == "\n"
            and not isinstance(pieces[0], _Kept)
            and (
                pieces[0].startswith(_GOES_ON)
                or (_MEMBER.match(pieces[0]) and not self.out[-2][-1].isdigit())
            )
        ):
            self.out.pop()
        self.out += pieces
        if isinstance(pieces[-1], _Kept) or pieces[-1][-1] not in _OPEN_END:
            self.out.append("\n")


class _Kept(str):
    """A piece of a template: its spaces are the program's."""

    __slots__ = ()
