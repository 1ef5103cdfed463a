"""The phone app's modules joined into one script, each after those it needs, as the phone gets them.

`web/` stays plain modules that run in a browser as they are; nobody builds anything. Joined, the app starts in a fraction
of the time that a hundred files take, weighs less, and no name inside it need stay long. Each module becomes a function
that runs once and gives what it exports. Only the forms of import and export that `web/` uses are understood; any other is
refused with its file, so that nothing is joined wrongly. The meaning is kept because no module needs itself, not even
through others, and no export is ever assigned again.
"""

from __future__ import annotations

import hashlib
import posixpath
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from shaftside.phone.strip_js import NotUnderstood

_START = r"(?:^|(?<=[;}/]))"  # a line's start, or the end of a statement or of a licence comment
_IMPORT = re.compile(_START + r"import\s*(?:\{([^{}]*)\}\s*from\s*)?([\"'])([^\"'\n]+)\2;?", re.MULTILINE)
_EXPORT_LIST = re.compile(_START + r"export\s*\{([^{}]*)\}(?:\s*from\s*([\"'])([^\"'\n]+)\2)?;?", re.MULTILINE)
_EXPORT = re.compile(_START + r"export\s+(?=(?:const|class|(?:async\s+)?function\b\s*\*?)\s*([\w$]+))", re.MULTILINE)
_LEFT = re.compile(_START + r"(?:export\b|import\b(?!\s*\())|\bimport\.meta\b", re.MULTILINE)
_LATER = re.compile(r"(?<![\w$.])import\s*\(")
_AS = re.compile(r"\s+as\s+")
_LETTERS = "abcdefghijklmnopqrstuvwxyz"

# A plain script, not a module: only of such a one does Chromium keep the compiled form when a service worker stores it.
# A module in a folder asks for a later one from there, not from where the joined script lies.
_ASK = '"use strict";const $ask=((at)=>(folder)=>(path)=>import(new URL(path,new URL(folder,at))))(document.currentScript.src);\n'


@dataclass
class Linked:
    """text: the joined script. modules: the paths in it, in the order they run. offers: what each of them exports, and the
    letters that stand for it between modules."""

    text: str = _ASK
    modules: list[str] = field(default_factory=list)
    offers: dict[str, dict[str, str]] = field(default_factory=dict)

    @property
    def mark(self) -> str:
        """Tells this joined script from any other: letters and numbers of modules mean something in it alone."""
        return hashlib.sha256(self.text.encode()).hexdigest()[:12]

    @property
    def sent(self) -> str:
        """The text with its mark, as the page gets it."""
        return f'{self.text}const $mark="{self.mark}";\n'


def link(entry: str, read: Callable[[str], str], named: Mapping[str, str], finish: Callable[[str, str], str]) -> Linked:
    """Join `entry` with every module it needs.

    read: path -> the module's text without comments (KeyError where there is none). named: the import map, a name or a
    prefix that ends with `/` -> path. finish: (path, the function made of the module) -> the text to send. Raises
    NotUnderstood for a form that is not understood, a module or name that is missing, or modules that need each other.
    """
    linker = _Linker(read, named, finish)
    linker.join(entry, "the page")
    return linker.out


def attach(path: str, text: str, to: Linked, named: Mapping[str, str]) -> str:
    """A module that comes later, as a module of its own that takes what is joined from the joined script: one of each lives.

    text: without comments. Raises NotUnderstood where it passes on what is joined, or takes what is not offered.
    """

    def taken(found: re.Match[str]) -> str:
        if (other := _path(path, found[3], named)) not in to.offers:
            return found[0]
        taking = [f"{_offered(path, other, theirs, to)}:{ours}" for theirs, ours in _listed(found[1])]
        return f"const{{{','.join(taking)}}}=$m{to.modules.index(other)};"

    out = _IMPORT.sub(taken, text)
    for found in _EXPORT_LIST.finditer(out):
        if found[3] and _path(path, found[3], named) in to.offers:
            raise NotUnderstood(f"{path} passes on {found[3]}, which is joined")
    return f'if($mark!=="{to.mark}")throw Error("{path} is of another version of the app");\n{out}'


def needs(path: str, text: str, named: Mapping[str, str]) -> set[str]:
    """The paths that a script imports from. text: without comments. Raises NotUnderstood for a name that the map lacks."""
    names = [found[3] for form in (_IMPORT, _EXPORT_LIST) for found in form.finditer(text) if found[3]]
    return {_path(path, name, named) for name in names}


class _Linker:
    """One joining. joining: those begun and not ended, outermost first."""

    def __init__(self, read: Callable[[str], str], named: Mapping[str, str], finish: Callable[[str, str], str]) -> None:
        self.read, self.named, self.finish = read, named, finish
        self.out = Linked()
        self.joining: list[str] = []

    def join(self, path: str, wanted_by: str) -> str:
        """The name that holds what a module exports, once it and all it needs are joined."""
        if path in self.joining:
            circle = [*self.joining[self.joining.index(path) :], path]
            raise NotUnderstood(f"modules need each other: {' -> '.join(circle)}")
        if path not in self.out.offers:
            self.joining.append(path)
            try:
                text = self.read(path)
            except KeyError:
                raise NotUnderstood(f"{wanted_by} imports {path}, which is not there") from None
            body = self._body(path, text)
            self.out.modules.append(path)
            made = self.finish(path, f"const {self._name(path)}=(()=>{{\n{body}}})();")
            self.out.text += made.rstrip("\n;") + ";\n"
            self.joining.pop()
        return self._name(path)

    def _name(self, path: str) -> str:
        return f"$m{self.out.modules.index(path)}"

    def _body(self, path: str, text: str) -> str:
        """A module's text as the body of a function that gives what the module exports."""
        gives: dict[str, str] = {}  # the name outside: what it is inside

        def taken(found: re.Match[str]) -> str:
            listed, other = _listed(found[1]), _path(path, found[3], self.named)
            held = self.join(other, path)
            taking = [f"{_offered(path, other, theirs, self.out)}:{ours}" for theirs, ours in listed]
            return f"const{{{','.join(taking)}}}={held};" if taking else ""

        def given(found: re.Match[str]) -> str:
            listed = _listed(found[1])
            if found[3]:  # passed on from another module
                other = _path(path, found[3], self.named)
                held = self.join(other, path)
                gives.update((outside, f"{held}.{_offered(path, other, theirs, self.out)}") for theirs, outside in listed)
            else:
                gives.update((outside, inside) for inside, outside in listed)
            return ""

        def declared(found: re.Match[str]) -> str:
            gives[found[1]] = found[1]
            return ""

        for form, put in ((_IMPORT, taken), (_EXPORT_LIST, given), (_EXPORT, declared)):
            text = form.sub(put, text)
        if (left := _LEFT.search(text)) is not None:
            raise NotUnderstood(f"{path}: not a form that can be joined: {text[left.start() : left.start() + 60]!r}")
        if folder := posixpath.dirname(path):
            text = _LATER.sub(f'$ask("{folder}/")(', text)
        self.out.offers[path] = {outside: f"{_LETTERS[at % 26]}{at // 26 or ''}" for at, outside in enumerate(gives)}
        returned = ",".join(f"{self.out.offers[path][outside]}:{inside}" for outside, inside in gives.items())
        return f"{text}\nreturn{{{returned}}};\n"


def _offered(path: str, other: str, name: str, linked: Linked) -> str:
    """The letters that stand for an export of `other`."""
    if name not in linked.offers[other]:
        raise NotUnderstood(f"{path} imports {name}, which {other} does not export")
    return linked.offers[other][name]


def _path(path: str, name: str, named: Mapping[str, str]) -> str:
    """Where an import of a module leads."""
    if name.startswith("."):
        return posixpath.normpath(posixpath.join(posixpath.dirname(path), name))
    if name in named:
        return named[name]
    prefix = next((one for one in named if one.endswith("/") and name.startswith(one)), None)
    if prefix is None:
        raise NotUnderstood(f"{path} imports {name}, which the import map does not name")
    return named[prefix] + name.removeprefix(prefix)


def _listed(names: str | None) -> list[tuple[str, str]]:
    """`a, b as c` -> [(a, a), (b, c)]."""
    pairs = [_AS.split(one.strip()) for one in (names or "").split(",") if one.strip()]
    return [(one[0], one[-1]) for one in pairs]
