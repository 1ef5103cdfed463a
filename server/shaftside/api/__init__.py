"""The JSON endpoints, one router a room, no logic: handlers translate."""

from __future__ import annotations

from fastapi import APIRouter

from shaftside.api import access, handbook, jobs, people, photos, plant_values, sheets, sync


def routers() -> list[APIRouter]:
    """Every router under /api."""
    return [one.router for one in (sheets, handbook, sync, jobs, people, photos, plant_values, access)]
