"""How long the command line takes to say what it can do. Run: python tests/benchmarks/bench_start.py"""

from __future__ import annotations

import subprocess
import sys
import time

MOST_S = 0.5
VERBS = [["--help"], ["compute", "--help"], ["sheets"]]


def main() -> int:
    """Print the best of five in seconds; 1 if --help is over the limit."""
    slow = 0
    for verb in VERBS:
        best = min(_once(verb) for _ in range(5))
        limit = f"(limit {MOST_S})" if verb == ["--help"] else ""
        print(f"shaftside {' '.join(verb):<16} {best:6.3f} s  {limit}")
        slow += verb == ["--help"] and best > MOST_S
    return 1 if slow else 0


def _once(verb: list[str]) -> float:
    start = time.perf_counter()
    subprocess.run([sys.executable, "-m", "shaftside", *verb], check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - start


if __name__ == "__main__":
    sys.exit(main())
