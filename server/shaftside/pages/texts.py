"""Every English text of the desk: out of its templates, and out of `tell` and `tell_n` anywhere in the server."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from jinja2 import Environment

from shaftside.pages.tongue import HERE

SERVER = HERE.parent
PLACE = re.compile(r"%\((\w+)\)s")
MAKERS = ("tell", "tell_n")


@dataclass
class Message:
    """One English text; many "" where it has no plural; places: the files that say it."""

    one: str
    many: str
    places: list[str] = field(default_factory=list)


class NotPlain(Exception):
    """A `tell` whose text is not written out where it stands, so nobody could translate it."""


def messages() -> dict[str, Message]:
    """Every text once, by its (singular) English, in the order of files and lines."""
    out: dict[str, Message] = {}
    for file, one, many in [*_of_templates(), *_of_code()]:
        held = out.setdefault(one, Message(one, many))
        held.many = held.many or many
        if file not in held.places:
            held.places.append(file)
    return out


def places(text: str) -> list[str]:
    """The places of a text that are filled in, sorted."""
    return sorted(set(PLACE.findall(text)))


def _of_templates() -> Iterator[tuple[str, str, str]]:
    engine = Environment(extensions=["jinja2.ext.i18n"], autoescape=True)
    engine.policies["ext.i18n.trimmed"] = True
    engine.newstyle_gettext = True  # type: ignore[attr-defined]
    for path in sorted((HERE / "templates").glob("*.html")):
        for _, _, said in engine.extract_translations(path.read_text("utf-8")):  # type: ignore[attr-defined]
            texts = [one for one in (said if isinstance(said, tuple) else (said,)) if one is not None]
            yield f"templates/{path.name}", texts[0], texts[1] if len(texts) > 1 else ""


def _of_code() -> Iterator[tuple[str, str, str]]:
    for path in sorted(SERVER.rglob("*.py")):
        text = path.read_text("utf-8")
        if "tell" not in text:
            continue
        yield from of_module(text, path.relative_to(SERVER).as_posix())


def of_module(text: str, file: str) -> Iterator[tuple[str, str, str]]:
    """(file, one, many) of each call of `tell` and `tell_n`. Raises NotPlain."""
    for node in ast.walk(ast.parse(text)):
        if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in MAKERS):
            continue
        wanted = node.args[: 1 if node.func.id == "tell" else 2]
        said = [one.value for one in wanted if isinstance(one, ast.Constant) and isinstance(one.value, str)]
        if len(said) != (1 if node.func.id == "tell" else 2):
            raise NotPlain(f"{file}:{node.lineno}: write the text of {node.func.id} out where it stands")
        yield file, said[0], said[1] if len(said) > 1 else ""


def template_files() -> list[Path]:
    """The desk's templates."""
    return sorted((HERE / "templates").glob("*.html"))
