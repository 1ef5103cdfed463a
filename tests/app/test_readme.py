"""README's pictures and links are there."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def test_every_picture_and_link_of_readme_exists() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    named = re.findall(r"\]\(([^)]+)\)", text)
    assert sum(one.endswith(".png") for one in named) >= 7
    assert [one for one in named if not (ROOT / one).is_file()] == []
    shown = {Path(one).name for one in named if one.endswith(".png")}
    kept = {one.name for one in (ROOT / "demo_data" / "pictures").glob("*.png")}
    assert kept == shown, "a picture that nobody sees, or a name that no picture has"
