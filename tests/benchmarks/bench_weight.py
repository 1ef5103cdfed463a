"""What the phone loads, compressed: `python tests/benchmarks/bench_weight.py` prints it and fails over budget.

Counted as the server sends it (gzip): the app's own and vendored JavaScript, and the whole first load with page,
styles, font, icon, manifest and, where the handbook room can build it, the handbook bundle.
"""

from __future__ import annotations

import gzip
import re
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
WEB = ROOT / "web"
SCRIPT_BUDGET = 60_000
LOAD_BUDGET = 150_000


def packed(data: bytes) -> int:
    """Bytes of `data` as gzip level 9."""
    return len(gzip.compress(data, 9))


def scripts() -> dict[str, int]:
    """Compressed bytes of every script the page names, and of the service worker."""
    page = (WEB / "index.html").read_text(encoding="utf-8")
    names = set(re.findall(r'(?:src|href)="/phone/([^"]+\.js)"', page)) | {"sw.js"}
    return {name: packed((WEB / name).read_bytes()) for name in sorted(names)}


def others() -> dict[str, int]:
    """Compressed bytes of everything else of a first visit; the font is compressed already."""
    sizes = {name: packed((WEB / name).read_bytes()) for name in ("index.html", "style/tokens.css", "style/phone.css", "app.webmanifest")}
    font = "vendor/atkinson-hyperlegible-next/latin-wght-normal.woff2"
    sizes[font] = (WEB / font).stat().st_size
    sizes["icons/sign.svg"] = packed((WEB / "icons/sign.svg").read_bytes())
    return sizes


def handbook() -> int | None:
    """Compressed bytes of the handbook bundle, or None where it cannot be built here."""
    try:
        from shaftside import handbook as room
    except ImportError:
        return None
    return packed(room.build(ROOT / "procedures").bytes)


def main() -> int:
    """Print the weights; 1 if a budget is passed."""
    own, rest, book = scripts(), others(), handbook()
    for name, size in {**own, **rest}.items():
        print(f"{size:8,} {name}")
    script_total = sum(own.values())
    load = script_total + sum(rest.values())
    print(f"{script_total:8,} JavaScript in all, budget {SCRIPT_BUDGET:,}")
    print(f"{load:8,} first load without handbook, budget {LOAD_BUDGET:,}")
    if book is not None:
        print(f"{book:8,} handbook; {load + book:,} with it")
    return int(script_total > SCRIPT_BUDGET or load > LOAD_BUDGET)


if __name__ == "__main__":
    sys.exit(main())
