"""The program as a person starts it: a process of its own, read until it says where it is."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

PLAIN = {key: value for key, value in os.environ.items() if not key.startswith(("SHAFTSIDE_", "PYTHON"))}


def shaftside(*arguments: str, **changes: str) -> subprocess.CompletedProcess[str]:
    """Run it to its end. changes: environment."""
    return subprocess.run(
        [sys.executable, "-m", "shaftside", *arguments],
        capture_output=True, text=True, timeout=60, env=PLAIN | changes, check=False,
    )  # fmt: skip


class Started:
    """A running server. said: what it printed so far."""

    def __init__(self, command: list[str], folder: Path, **changes: str) -> None:
        self.process = subprocess.Popen(
            command, cwd=folder, env=PLAIN | {"PYTHONUNBUFFERED": "1"} | changes,
            stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, encoding="utf-8",
        )  # fmt: skip
        self.said = ""
        threading.Thread(target=self._read, daemon=True).start()

    def _read(self) -> None:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.said += line

    def wait_for(self, pattern: str, seconds: float = 30) -> re.Match[str]:
        """The first match in what it prints; fails with all it said."""
        until = time.monotonic() + seconds
        while time.monotonic() < until:
            found = re.search(pattern, self.said)
            if found:
                return found
            assert self.process.poll() is None, self.said
            time.sleep(0.05)
        raise AssertionError(f"{pattern} was not said within {seconds} s:\n{self.said}")

    def stop(self, how: int = signal.SIGINT) -> int:
        """Ask it to end, as Ctrl-C does; its exit code."""
        self.process.send_signal(how)
        return self.process.wait(timeout=20)


@contextmanager
def started(command: list[str], folder: Path, **changes: str) -> Iterator[Started]:
    """Start a command; ended at the latest when the block ends."""
    one = Started(command, folder, **changes)
    try:
        yield one
    finally:
        if one.process.poll() is None:
            one.process.kill()
            one.process.wait()
