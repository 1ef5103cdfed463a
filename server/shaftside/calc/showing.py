"""Values as people read them: in the unit of their system, rounded alike on phone and server."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

GAP = "\u00a0"
MOST_PLACES = 9
_TENS = [10.0**n for n in range(MOST_PLACES + 1)]


def unit_for(program: Mapping[str, Any], value: float, unit: str, system: str) -> str:
    """The unit a value is shown in. system: metric | inch | as_is (keep the unit)."""
    spec = program["units"][unit]
    if system == "as_is" or spec["system"] in ("both", system) or spec["partner"] is None:
        return unit
    if "small" in spec and abs(value) < spec["small_below"]:
        return str(spec["small"])
    return str(spec["partner"])


def figure(value: float, places: int, exact: bool = False) -> str:
    """A number with at most `places` decimals, but no less than three figures; trailing zeros dropped unless `exact`."""
    size = abs(value)
    if not exact:
        while places < MOST_PLACES and 0 < size * _TENS[places] < 100:
            places += 1
    if size * _TENS[places] >= 1e15:
        places = 0
    whole = math.floor(size * _TENS[places] + 0.5)
    digits = str(whole).rjust(places + 1, "0")
    text = f"{digits[:-places]}.{digits[-places:]}" if places else digits
    if places and not exact:
        text = text.rstrip("0").rstrip(".")
    return "−" + text if value < 0 and whole != 0 else text


def show(program: Mapping[str, Any], value: float, unit: str, system: str = "metric", decimals: int | None = None, lang: str = "en") -> str:
    """An SI value with its unit: `13.5 N·m`, `0.0015 in`, `168°`. `decimals` holds for the unit given, not its partner."""
    code = unit_for(program, value, unit, system)
    spec = program["units"][code]
    number = (value - spec["zero"]) / spec["factor"]
    text = figure(number, spec["decimals"] if decimals is None or code != unit else decimals, decimals is not None and code == unit)
    text = marked(program, text, lang)
    shown = shown_unit(program, code, lang)
    return text + shown if shown in ("", "°") else text + GAP + shown


def marked(program: Mapping[str, Any], text: str, lang: str) -> str:
    """A figure with the decimal mark of a language."""
    return text.replace(".", program["words"].get(lang, {}).get("decimal_mark", "."))


def shown_unit(program: Mapping[str, Any], code: str, lang: str) -> str:
    """How a unit is written; the few that are words have their own in each language."""
    return str(program["words"].get(lang, {}).get(f"unit.{code}") or program["units"][code]["shown"])


def words_of(texts: Mapping[str, str] | None, lang: str) -> str:
    """A text in a language, else in English."""
    return "" if not texts else texts.get(lang) or texts.get("en", "")


def sentence(program: Mapping[str, Any], key: str, lang: str, **parts: Any) -> str:
    """One of the calculation's own sentences, filled in."""
    catalogue = program["words"].get(lang) or program["words"]["en"]
    text = str(catalogue.get(key) or program["words"]["en"][key])
    for name, part in parts.items():
        text = text.replace("{" + name + "}", str(part))
    return text


def spec_of(program: Mapping[str, Any], sheet: str, name: str) -> Mapping[str, Any] | None:
    """The input or line of a sheet by name; a row's own too, and what a section binds."""
    one = program["sheets"][sheet]
    return next((spec for spec in [*one["inputs"], *one["lines"], *_of_rows(one)] if spec["name"] == name), None)


def _of_rows(sheet: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    return [
        spec
        for section in sheet.get("over", ())
        for spec in (*section["lines"], section["row"], *(section[key] for key in ("first", "count") if key in section))
    ]


def word_of(key: Mapping[str, Any], word: str, lang: str) -> str:
    """A word of a table's key by its label; the word itself where the passport gives none."""
    return words_of(key.get("labels", {}).get(word), lang) or word


def label_of(program: Mapping[str, Any], sheet: str, name: str, lang: str) -> str:
    """Label of an input or line; its name where there is none."""
    spec = spec_of(program, sheet, name)
    return words_of(spec["label"], lang) if spec else name


def say_value(program: Mapping[str, Any], spec: Mapping[str, Any] | None, value: Any, lang: str = "en", system: str = "metric") -> str:
    """Any value of an input or line in words."""
    if value is None:
        return sentence(program, "not_given", lang)
    if isinstance(value, bool):
        return sentence(program, "yes" if value else "no", lang)
    if isinstance(value, str):
        choice = next((one for one in (spec or {}).get("choices", []) if one["word"] == value), None)
        return words_of(choice["label"], lang) if choice else value
    unit = (spec or {}).get("unit", "1")
    places = (spec or {}).get("decimals")
    if system == "inch" and spec and "inch" in spec:  # the inch unit the trade lists for it
        unit, system = spec["inch"], "as_is"
    if isinstance(value, list):
        return "; ".join(show(program, one, unit, system, places, lang) for one in value)
    return show(program, value, unit, system, places, lang)
