"""What the phone loads, in bytes as the server sends them. Run: python tests/benchmarks/bench_weight.py

The app's script with its libraries, the whole first visit with page, styles, font and icons, and the handbook.
Brotli is what a browser takes over https; gzip what it takes over plain http on this machine.
"""

from __future__ import annotations

import sys
from pathlib import Path

from shaftside import handbook
from shaftside.packing import pack
from shaftside.phone import PhoneFiles

ROOT = Path(__file__).resolve().parents[2]
SCRIPT_BUDGET, VISIT_BUDGET = 80_000, 150_000


def main() -> int:
    """Print the weights; 1 if a budget is passed."""
    files = PhoneFiles(ROOT / "web")
    book = handbook.build(ROOT / "procedures")
    over = 0
    for coding in ("br", "gzip"):
        own, visit = files.weight(coding)
        sent = len(dict(pack(book.bytes))[coding])
        packs = sum(len(dict(pack(one.bytes))[coding]) for one in book.packs.values())
        print(f"{coding:<5} app script {own:7,}   first visit {visit:7,}   handbook {sent:7,}   figures and languages {packs:7,}")
        over += coding == "br" and (own > SCRIPT_BUDGET or visit > VISIT_BUDGET)
    print(f"budgets (br): app script {SCRIPT_BUDGET:,}, first visit {VISIT_BUDGET:,}")
    return int(over > 0)


if __name__ == "__main__":
    sys.exit(main())
