"""Loading the demo plant, on the real handbook, into a real database."""

from __future__ import annotations

import asyncio
import sys
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from demo_data import plant  # noqa: E402

from shaftside import handbook  # noqa: E402
from shaftside.database import Database  # noqa: E402
from shaftside.records import Records  # noqa: E402

TODAY = date(2026, 11, 24)


@dataclass
class Plant:
    """A loaded plant: the service to ask, what load answered, and the handbook."""

    records: Records
    told: dict[str, Any]
    bundle: Any
    database: Database


def make(folder: Path, bundle: Any) -> Plant:
    """Load the plant into a new database in this folder."""
    database = Database.open(f"sqlite:///{folder / 'demo.db'}")
    database.migrate()
    books = handbook.Handbooks(database)
    books.put(bundle)
    records = Records(database, books)
    told = asyncio.run(plant.load(records, None, bundle, TODAY))
    return Plant(records, told, bundle, database)
