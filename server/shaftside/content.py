"""Where the content lies: web/, procedures/, demo_data/, in a wheel, an editable install or a folder of one's own."""

from __future__ import annotations

from pathlib import Path

HERE = Path(__file__).resolve().parent
NAMES = ("web", "procedures", "demo_data")


class ContentMissing(Exception):
    """A content folder was not found; the message lists where it was looked for."""


def places(chosen: Path | None = None) -> list[Path]:
    """Folders that may hold the content, in the order they are tried."""
    return [*([chosen] if chosen else []), HERE / "_content", HERE.parents[1]]


def folder(name: str, chosen: Path | None = None) -> Path:
    """The folder `name` (web, procedures or demo_data); what a chosen place lacks is taken from ours. Raises ContentMissing."""
    if chosen and not any((chosen / one).is_dir() for one in NAMES):  # a slip of the pen, not a wish for ours
        raise ContentMissing(f"{chosen} holds none of {', '.join(f'{one}/' for one in NAMES)}.")
    for place in places(chosen):
        if (place / name).is_dir():
            return place / name
    looked = ", ".join(str(place / name) for place in places(chosen))
    raise ContentMissing(
        f"the folder {name}/ was not found; looked at {looked}. Set SHAFTSIDE_CONTENT to the folder that holds it."
    )
