"""What the phone loads, in bytes as the server sends them. Run: python tests/benchmarks/bench_weight.py

The app's own scripts, the vendored ones, the whole first visit with page, styles, font and icons, and the handbook.
Brotli is what a browser takes over https; gzip what it takes over plain http on this machine.
"""

from __future__ import annotations

import sys
from pathlib import Path

from shaftside import handbook
from shaftside.packing import pack
from shaftside.phone_files import PhoneFiles

ROOT = Path(__file__).resolve().parents[2]
SCRIPT_BUDGET, VISIT_BUDGET = 80_000, 150_000


def main() -> int:
    """Print the weights; 1 if a budget is passed."""
    files = {
        name: file
        for name, file in PhoneFiles(ROOT / "web").files.items()
        if not name.endswith((".png", "LICENSE"))
    }
    over = 0
    for coding in ("br", "gzip"):
        sizes = {name: len(dict(file.squeezed).get(coding, file.content)) for name, file in files.items()}
        own = sum(
            size for name, size in sizes.items() if name.endswith(".js") and not name.startswith("vendor/")
        )
        vendored = sum(
            size for name, size in sizes.items() if name.endswith(".js") and name.startswith("vendor/")
        )
        visit = sum(sizes.values())
        book = len(dict(pack(handbook.build(ROOT / "procedures").bytes))[coding])
        print(
            f"{coding:<5} own scripts {own:7,}   vendored {vendored:6,}   first visit {visit:7,}   handbook {book:7,}   with it {visit + book:7,}"
        )
        over += coding == "br" and (own > SCRIPT_BUDGET or visit > VISIT_BUDGET)
    print(f"budgets (br): own scripts {SCRIPT_BUDGET:,}, first visit {VISIT_BUDGET:,}")
    return int(over > 0)


if __name__ == "__main__":
    sys.exit(main())
