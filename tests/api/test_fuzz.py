"""Every described route asked with made-up values, right and wrong in shape: none ends in a fault of ours, every refusal has the one shape."""

from __future__ import annotations

import asyncio
import contextlib
from typing import Any

import pytest
import schemathesis
from api_plant import BASE, PASSWORD, Plant, device
from fastapi.testclient import TestClient
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis.errors import Unsatisfiable
from schemathesis import GenerationMode
from test_every_route import shape_holds

from shaftside.people import ROLES

EXAMPLES = 12  # a route, of each mode
CALM = settings(
    max_examples=EXAMPLES, deadline=None, database=None, derandomize=True,
    phases=[Phase.explicit, Phase.generate], suppress_health_check=list(HealthCheck),
)  # fmt: skip
LEFT_OUT = {"/api/sign-out"}  # the sign-in is needed to the end


def fuzzed(client: TestClient, operation: Any, mode: GenerationMode) -> str:
    """Ask one route with made-up values; its name."""
    place = f"{operation.method.upper()} {operation.path}"

    @CALM
    @given(case=operation.as_strategy(generation_mode=mode))
    def ask(case: Any) -> None:
        given_to = case.as_transport_kwargs(base_url=BASE)
        given_to.pop("cookies", None)  # no route takes one but the sign-in's own
        answer = client.request(**given_to)
        assert answer.status_code < 500, (place, case.body, answer.text)
        if answer.status_code >= 400:
            shape_holds(answer)

    if operation.path not in LEFT_OUT:
        with contextlib.suppress(Unsatisfiable):  # a route that takes nothing has no other shape
            ask()
    return place


@pytest.mark.parametrize("mode", [GenerationMode.POSITIVE, GenerationMode.NEGATIVE], ids=["as described", "otherwise"])
def test_no_fault_and_one_shape_of_refusal(plant: Plant, mode: GenerationMode) -> None:
    """As one person with every role, so that no route stops at its door."""
    login = f"everybody-{mode.value}"
    asyncio.run(plant.rooms.people.add("Every Role", list(ROLES), login=login, password=PASSWORD))
    client = plant.client()
    said = client.post("/api/sign-in", json={"login": login, "password": PASSWORD, "device_id": device(90 if mode is GenerationMode.POSITIVE else 91), "device_name": "Test"})
    assert said.status_code == 200, said.text
    described = client.get("/openapi.json").json()
    asked = [fuzzed(client, found.ok(), mode) for found in schemathesis.openapi.from_dict(described).get_all_operations()]
    assert len(asked) > 30
