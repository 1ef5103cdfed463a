"""`shaftside demo` as README has it, in a process of its own, with the sign-ins it printed."""

from __future__ import annotations

import os
import re
import socket
import subprocess
import sys
import time
from pathlib import Path

import httpx


class DemoServer:
    """The demo plant on loopback. `passwords`: by sign-in name. Ends with TERM, as a service is ended."""

    def __init__(self, folder: Path) -> None:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            port = int(free.getsockname()[1])
        self.address = f"http://127.0.0.1:{port}"
        self.log = folder / "demo.log"
        with self.log.open("wb") as out:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "shaftside", "demo", "--port", str(port)],
                stdout=out, stderr=subprocess.STDOUT, env=os.environ | {"PYTHONUNBUFFERED": "1", "TMPDIR": str(folder)},
            )  # fmt: skip
        until = time.monotonic() + 90
        while time.monotonic() < until:
            assert self.process.poll() is None, self.log.read_text(encoding="utf-8")
            try:
                if httpx.get(f"{self.address}/api/health", timeout=20).is_success:
                    break
            except httpx.TransportError:
                time.sleep(0.2)
        said = ""
        self.passwords: dict[str, str] = {}
        while len(self.passwords) < 3 and time.monotonic() < until:  # it answers before it has told them
            said = self.log.read_text(encoding="utf-8")
            self.passwords = dict(re.findall(r"^  (?:technician|lead|planner)\s+(\S+)\s+(\S+)$", said, re.MULTILINE))
            time.sleep(0.05)
        assert set(self.passwords) == {"tess", "maud", "ravi"}, said

    def stop(self) -> None:
        """End it and wait, so that its folder is gone."""
        self.process.terminate()
        self.process.wait(timeout=30)
