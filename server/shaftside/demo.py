"""The demo plant: invented, fresh at every start, three people with sign-ins made on the spot."""

from __future__ import annotations

import asyncio
import secrets
import sys
import tempfile
from datetime import UTC, datetime
from pathlib import Path

from shaftside import content, handbook, listening
from shaftside.app import Rooms
from shaftside.serving import serve
from shaftside.settings import read

WORDS = ["amber", "anvil", "basin", "birch", "brass", "cedar", "chalk", "cider", "clover", "copper", "coral", "crane", "delta", "ember", "fable", "fern", "flint", "garnet", "glade", "grain", "harbor", "hazel", "heron", "indigo", "ivory", "juniper", "kelp", "lantern", "larch", "linen", "maple", "marble", "meadow", "nickel", "olive", "otter", "paper", "pebble", "pepper", "quartz", "raven", "reed", "river", "rowan", "saddle", "silver", "slate", "sparrow", "thistle", "timber", "velvet", "walnut", "willow"]  # fmt: skip


def password() -> str:
    """Four words of our list: some 23 bits, for a plant that lives on loopback until Ctrl-C."""
    return "-".join(secrets.choice(WORDS) for _ in range(4))


def run(port: int, chosen: Path | None = None) -> int:
    """Make the plant in a folder of its own, load two years of records, serve it on loopback, and clear it away."""
    host = "127.0.0.1"
    sockets = listening.listen(host, port)  # first: a taken port is said before two years of records are made
    with tempfile.TemporaryDirectory(prefix="shaftside-demo-") as folder:
        chosen_here = {
            "data": Path(folder),
            "port": listening.number(sockets),
            "host": host,
            "content": chosen,
        }
        settings = read(chosen_here | {"database": None, "https": False, "certificate": None})
        rooms = Rooms(settings)
        try:
            lines = asyncio.run(fill(rooms, chosen))
            own = content.folder("demo_data", chosen) / "plant_own"
            if own.is_dir():  # new work goes by the plant's own steps too; the records keep the handbook they began with
                rooms.handbooks.put(handbook.build(content.folder("procedures", chosen), own))
            return serve(settings, rooms, lines, sockets)
        finally:
            rooms.close()


async def fill(rooms: Rooms, chosen: Path | None = None) -> list[str]:
    """Load the plant through the real sync and give its three people passwords; what to print."""
    home = str(content.folder("demo_data", chosen).parent)
    if home not in sys.path:
        sys.path.insert(0, home)
    from demo_data import plant

    made = await plant.load(rooms.records, rooms.people, rooms.handbooks.current, datetime.now(UTC).date(), rooms.photos)
    lines = ["", f"An invented plant with {made['jobs']} jobs in {made['events']} entries. Sign in as:"]
    logins = {one.id: one for one in rooms.people.people()}
    for role, person in made["people"].items():
        word = password()
        await rooms.people.set_password(person, word)
        lines.append(f"  {role:<11} {logins[person].login:<12} {word}")
    return [*lines, ""]
