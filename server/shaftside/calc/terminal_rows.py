"""A section's rows in the terminal: places first, then why each row stands where it stands, then its working."""

from __future__ import annotations

import textwrap
from collections.abc import Callable
from typing import Any

HEAD = 12  # a heading is folded to this width before a column grows for it
GAP = "  "


def side_by_side(section: dict[str, Any], width: int) -> list[str]:
    """The rows as a table no wider than `width`; as a list where the columns do not fit."""
    places = [[_place(row)] for row in section["rows"]] if _ranked(section) else [[] for _ in section["rows"]]
    body = [[*place, row["label"], *row["cells"]] for place, row in zip(places, section["rows"], strict=True)]
    if not body:
        return ["  No row takes part."]
    heads = ["" for _ in body[0][: -len(section["columns"])]] + section["columns"]
    widths = [max(len(line[at]) for line in body) for at in range(len(heads))]
    folded = [textwrap.wrap(head, max(HEAD, size)) or [""] for head, size in zip(heads, widths, strict=True)]
    widths = [max(size, *map(len, fold)) for size, fold in zip(widths, folded, strict=True)]
    if sum(widths) + len(GAP) * len(widths) > width:
        return [line for row in section["rows"] for line in _listed(row, section, width)]
    tall = max(map(len, folded))
    head = [[fold[line - tall + len(fold)] if line >= tall - len(fold) else "" for fold in folded] for line in range(tall)]
    return [(GAP + GAP.join(cell.ljust(size) for cell, size in zip(line, widths, strict=True))).rstrip() for line in [*head, *body]]


def _listed(row: dict[str, Any], section: dict[str, Any], width: int) -> list[str]:
    cells = "; ".join(f"{column}: {cell}" for column, cell in zip(section["columns"], row["cells"], strict=True))
    place = f"{_place(row)}  " if _ranked(section) else ""
    return [f"  {place}{row['label']}", *textwrap.wrap(cells, width, initial_indent="      ", subsequent_indent="      ")]


def _ranked(section: dict[str, Any]) -> bool:
    """Whether any row has a place: a section without `rank` has none to show."""
    return any(row["place"] is not None for row in section["rows"])


def _place(row: dict[str, Any]) -> str:
    return "-" if row["place"] is None else str(row["place"])


def reasons(section: dict[str, Any], width: int) -> list[str]:
    """What is to be said of each row, the refusal first."""
    out = []
    for row in section["rows"]:
        said = ([row["refusal"]] if row["refusal"] else []) + [f"{one['level']}: {one['message']}" for one in row["said"]]
        if said:
            out.append(f"  {row['label']}")
            for text in said:
                out += textwrap.wrap(text, width, initial_indent="  - ", subsequent_indent="    ", break_on_hyphens=False)
    return out


def show(sections: list[dict[str, Any]], width: int, every_line: bool, line: Callable[[dict[str, Any]], list[str]]) -> list[str]:
    """All of it. `line` writes one line of the working; `every_line`: the working of every row too."""
    out: list[str] = []
    for section in sections:
        out += ["", section["label"], *side_by_side(section, width)]
        said = reasons(section, width)
        out += ["", *said] if said else []
        for row in section["rows"] if every_line else []:
            out += ["", f"Working of {row['label']}", *(text for one in row["lines"] for text in line(one))]
    if sections and not every_line:
        out += ["", "The working of every row: add --rows"]
    return out
