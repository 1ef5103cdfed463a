"""Every English text of a handbook, in one fixed order: what a language must translate, and where each text stands.

A text is a mapping with the key `en` (`{en: "Tighten"}`); `context` beside it tells two equal English texts apart. The
calculation's own sentences are a catalogue: `en` holds a mapping there. The twin of `laid_in` is `web/packs.js`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

Key = tuple[str, str]
"""(context or "", English)."""
Path = tuple[str | int, ...]

_OUTSIDE = ("packs", "languages", "drawings")
_SHELVES = {"sheets": "sheets/{}.yaml", "tables": "tables/{}.yaml", "procedures": "methods/{}.yaml"}
_SAFETY = ("cautions", "caution")


@dataclass
class Text:
    """One English text with the places that show it. ours: not only in a plant's own content; safety: a line people's safety hangs on."""

    key: Key
    paths: list[Path] = field(default_factory=list)
    inline: set[str] = field(default_factory=set)
    ours: bool = False
    safety: bool = False

    @property
    def english(self) -> str:
        return self.key[1]

    def lacks(self, lang: str) -> bool:
        """Whether some place does not bring its own text in that language."""
        return lang not in self.inline


def key_of(words: Mapping[str, Any]) -> Key:
    """The key of a text's mapping."""
    return str(words.get("context", "")), str(words["en"])


def walk(data: Any, path: Path = (), own: bool = False, safety: bool = False) -> Iterator[tuple[Path, Mapping[str, Any], bool, bool]]:
    """Each text in the fixed order, keys sorted by their UTF-16 units: its place, its mapping, whether it is a plant's own, whether a safety line."""
    if isinstance(data, list):
        for at, one in enumerate(data):
            if isinstance(one, list | dict):
                yield from walk(one, (*path, at), own, safety)
    if not isinstance(data, dict):
        return
    own = own or data.get("plant") is True  # the bundle itself names its plant there
    safety = safety or data.get("level") == "stop"
    if isinstance(data.get("en"), str):
        yield path, data, own, safety
    elif isinstance(data.get("en"), dict):
        for name in sorted(data["en"], key=_utf16):
            yield (*path, name), {"en": data["en"][name]}, own, safety
    else:
        for name in sorted(data, key=_utf16):
            if isinstance(data[name], list | dict) and not (path == () and name in _OUTSIDE):
                yield from walk(data[name], (*path, name), own or str(name).startswith("plant_") or name == "plant", safety or name in _SAFETY)


def _utf16(name: str) -> bytes:
    return name.encode("utf-16-be", "surrogatepass")


def texts_of(data: Mapping[str, Any], figures: Mapping[str, Any]) -> list[Text]:
    """The texts of a bundle and then of its figures, each once, in the order of a language's pack."""
    found: dict[Key, Text] = {}
    for path, words, own, safety in [*walk(data), *walk(figures, ("figures",))]:
        text = found.get(key_of(words))
        inline = {one for one in words if one not in ("en", "context")}
        if text is None:
            text = found[key_of(words)] = Text(key_of(words), inline=inline)
        text.paths.append(path)
        text.inline &= inline
        text.ours = text.ours or not own
        text.safety = text.safety or safety
    return list(found.values())


def file_of(path: Path) -> str:
    """The content file that a text of that place stands in, as faults name it."""
    names = [str(one) for one in path]
    if names[0] == "figures":
        return f"drawings/{names[1]}.svg"
    if names[0] == "calc" and names[1] == "words":
        return "calc/words.py"
    shelf, name = (names[1], names[2]) if names[0] == "calc" else (names[0], names[1])
    plant = "plant/" if name.startswith("plant_") else ""
    if shelf in _SHELVES:
        return plant + _SHELVES[shelf].format(name)
    return {"board": "lockout.yaml", "plant": "plant/plant.yaml"}.get(shelf, "facts.yaml")


def spot_of(path: Path, data: Mapping[str, Any], figures: Mapping[str, Any]) -> str:
    """Where in its file: `steps.read_procedure.do`. A list's items go by their own name."""
    out: list[str] = []
    node: Any = figures if path[0] == "figures" else data
    for one in path[1:] if path[0] == "figures" else path:
        node = node["en"][one] if isinstance(node, dict) and one not in node else node[one]
        named = next((node[key] for key in ("step", "name", "reading", "word", "follow_up") if isinstance(node, dict) and isinstance(node.get(key), str)), None)
        out.append(str(one) if isinstance(one, str) else str(named or one + 1))
    cut = 3 if path[0] == "calc" else 2 if path[0] == "procedures" else 1
    return ".".join(out[cut:])


def laid_in(data: Any, lang: str, said: Mapping[Key, str], unreviewed: frozenset[Key] = frozenset()) -> Any:
    """A copy of `data` whose texts have `lang` too, `unreviewed` naming the languages nobody of the trade has read."""
    if isinstance(data, list):
        return [laid_in(one, lang, said, unreviewed) if isinstance(one, list | dict) else one for one in data]
    if not isinstance(data, dict):
        return data
    if isinstance(data.get("en"), str):
        key = key_of(data)
        if lang in data or key not in said:
            return data
        told = {"unreviewed": [*data.get("unreviewed", []), lang]} if key in unreviewed else {}
        return {**data, lang: said[key], **told}
    if isinstance(data.get("en"), dict):
        told = {"unreviewed": [*data.get("unreviewed", []), lang]} if any(("", text) in unreviewed for text in data["en"].values()) else {}
        return {**data, lang: {name: said.get(("", text), text) for name, text in data["en"].items()}, **told}
    return {name: laid_in(one, lang, said, unreviewed) if isinstance(one, list | dict) else one for name, one in data.items()}
