"""What holds for every route there is: who may come in, the headers, the one shape of a refusal."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from api_plant import Plant
from fastapi.testclient import TestClient
from starlette.routing import BaseRoute, Route

SAMPLE = {
    "sha256": "a" * 64, "hash": "b" * 64, "token": "not-a-token", "name": "nothing", "path": "nothing.js",
}  # fmt: skip
UUID = "0192f000-0000-7000-8000-00000000ffff"

# Whoever adds a route that anybody may use writes it down here, and says why in the review.
PUBLIC = {
    "GET /", "GET /trust", "GET /trust/authority.crt", "GET /phone", "GET /phone/{path:path}", "HEAD /phone/{path:path}",
    "GET /desk", "POST /desk/preferences",  # a way on; two cookies without a secret
    "GET /desk/assets/{name}", "GET /desk/sign-in", "POST /desk/sign-in", "POST /desk/sign-out",
    "GET /desk/setup", "POST /desk/setup", "GET /desk/invitation/{token}", "POST /desk/invitation/{token}",
    "GET /api/health", "GET /api/sheets", "GET /api/sheets/{name}", "POST /api/sheets/{name}",
    "GET /api/handbook", "GET /api/handbook/{hash}", "POST /api/sign-in", "POST /api/sign-out", "POST /api/setup",
    "POST /api/invitations/{token}/accept",
    "GET /desk/calendar/{key}.ics",  # the key in it is the secret: 256 bits, can be ended
    "GET /docs", "GET /openapi.json", "HEAD /openapi.json",
}  # fmt: skip
ANSWER_WITH_A_WAY_ON = {
    ("POST", "/desk/sign-out"),
    ("GET", "/desk/setup"),
}  # lead to the sign-in page by themselves

# Who gets past the door of each route that does not let everybody in who is signed in.
LEAD, ADMIN = {"lead"}, {"admin"}
ROLES_OF_API = {
    "POST /api/jobs/{job}/sign-off": LEAD, "POST /api/jobs/{job}/return": LEAD, "POST /api/jobs/{job}/deviation": LEAD,
    "POST /api/jobs/{job}/accept": LEAD, "POST /api/jobs/{job}/choose": LEAD, "POST /api/jobs/{job}/agree": LEAD,
    "POST /api/plant-values": LEAD, "POST /api/plant-values/{value}": LEAD, "POST /api/plant-values/{value}/withdraw": LEAD,
    "POST /api/people/invitations": ADMIN, "PUT /api/people/{person}/roles": ADMIN,
    "PUT /api/people/{person}/disabled": ADMIN, "GET /api/people/{person}/sign-ins": ADMIN,
    "DELETE /api/people/{person}/sign-ins/{sign_in}": ADMIN,
}  # fmt: skip


def flat(routes: list[BaseRoute]) -> Iterator[Route]:
    """Every route, also those inside routers that are kept whole."""
    for one in routes:
        inner = getattr(one, "routes", None) or getattr(getattr(one, "original_router", None), "routes", None)
        if isinstance(one, Route):
            yield one
        elif inner:
            yield from flat(inner)


def all_routes(plant: Plant) -> list[tuple[str, str]]:
    found = [(method, one.path) for one in flat(plant.app.routes) for method in sorted(one.methods or ())]  # type: ignore[attr-defined]
    assert len(found) > 50  # the walk itself has not gone blind
    return found


def filled(path: str) -> str:
    return re.sub(r"\{(\w+)(:\w+)?\}", lambda m: SAMPLE.get(m.group(1), UUID), path)


def ask(client: TestClient, method: str, path: str) -> Any:
    if path.startswith("/desk"):
        return client.request(method, filled(path), data={} if method == "POST" else None)
    if path.startswith("/api/photos") and method == "PUT":
        return client.put(filled(path), content=b"x", headers={"content-type": "image/jpeg"})
    return client.request(method, filled(path), json={} if method in ("POST", "PUT", "DELETE") else None)


def shut(answer: Any) -> bool:
    """Whether nobody got in: 401 of the API, the way to the sign-in page of the desk."""
    if answer.headers.get("content-type") == "application/json" and answer.status_code == 401:
        return bool(answer.json()["error"]["code"] == "not_signed_in")
    return answer.status_code == 303 and answer.headers["location"].startswith("/desk/sign-in")


def test_the_public_routes_are_exactly_these(plant: Plant) -> None:
    client = plant.client()
    open_ = set()
    for method, path in all_routes(plant):
        answer = ask(client, method, path)
        if not shut(answer) or (method, path) in ANSWER_WITH_A_WAY_ON:
            open_.add(f"{method} {path}")
    assert open_ == PUBLIC


def test_documentation_is_off_unless_asked_for(plant: Plant) -> None:
    from shaftside.app import create_app

    plain = create_app(plant.rooms.settings.model_copy(update={"docs": False}), plant.rooms)
    client = TestClient(plain, base_url="http://127.0.0.1:8420")
    for path in ("/docs", "/openapi.json", "/redoc"):
        assert client.get(path).status_code == 404


def test_the_description_needs_no_page_from_elsewhere_and_names_one_error_shape(nobody: TestClient) -> None:
    said = nobody.get("/docs")
    assert said.headers["content-type"].startswith("text/plain")
    assert "/openapi.json" in said.text
    described = nobody.get("/openapi.json").json()
    for path, methods in described["paths"].items():
        if path.startswith("/api/"):
            for one in methods.values():
                for status in ("4XX", "5XX"):
                    shape = one["responses"][status]["content"]["application/json"]["schema"]["$ref"]
                    assert shape.endswith("/Refused"), path
                assert "422" not in one["responses"], path
    shape = described["components"]["schemas"]["Refusal"]["properties"]
    assert set(shape) == set(nobody.get("/api/me").json()["error"])


@pytest.mark.parametrize("role", ["technician", "lead", "planner", "admin"])
def test_roles_and_the_api(plant: Plant, role: str) -> None:
    client = plant.client(role)
    for method, path in all_routes(plant):
        key = f"{method} {path}"
        if not path.startswith("/api/") or key in PUBLIC:
            continue
        refused = ask(client, method, path)
        wanted = role not in ROLES_OF_API.get(key, {role})
        assert (refused.status_code == 403) == wanted, (key, role, refused.text)
        if wanted:
            assert refused.json()["error"]["code"] == "role_needed"


def shape_holds(answer: Any) -> None:
    assert answer.headers["content-type"] == "application/json"
    assert set(answer.json()) == {"error"}
    error = answer.json()["error"]
    assert list(error) == ["code", "message", "field", "expects", "details", "request"]
    assert re.fullmatch(r"[a-z][a-z_0-9]*", error["code"])
    assert len(error["message"]) > 10
    assert error["message"].endswith((".", "?", "!"))
    assert isinstance(error["details"], list)
    assert error["request"] == answer.headers["x-request-id"]


@pytest.mark.parametrize("who", [None, "admin", "lead"])
def test_every_refusal_of_every_api_route_has_the_one_shape(plant: Plant, who: str | None) -> None:
    client = plant.client(who)
    seen = set()
    for method, path in all_routes(plant):
        if not path.startswith("/api/") or path == "/api/sign-out":
            continue
        url = filled(path)
        json = {"content-type": "application/json"}
        answers = [
            ask(client, method, path),
            client.request(method, url, content=b"{not json", headers=json),
            client.request(method, url, content=b'{"unknown": 1}', headers=json),
            client.request(method, url, content=b"[" * 100_000, headers=json),
            client.request(method, url, content=b'{"a": NaN, "b": 1e999}', headers=json),
            client.request(method, url, content=b"\xff\xfe", headers=json),
            client.request(method, url, content=b"x", headers={"content-type": "text/plain"}),
            client.request("PATCH", url, json={}),
            client.request(method, url, json={}, headers={"sec-fetch-site": "cross-site"}),
            client.request(method, re.sub(r"(?<=/)[0-9a-f-]{30,}", "%00'%22;--", url), json={}),
            client.request(method, url + "/nothing/here", json={}),
            client.request(method, url, content=b" " * (11 * 1024 * 1024), headers=json),
        ]
        for answer in answers:
            assert answer.status_code < 500, (method, path, answer.text)
            if answer.status_code >= 300 and answer.status_code != 304:
                seen.add(answer.status_code)
                shape_holds(answer)
    assert {403, 404, 405, 413, 415, 422} <= seen


def test_every_answer_of_every_route_has_the_headers(plant: Plant) -> None:
    client = plant.client("lead")
    for method, path in all_routes(plant):
        if path.endswith("/sign-out"):
            continue
        headers = ask(client, method, path).headers
        assert headers["x-content-type-options"] == "nosniff", path
        assert headers["referrer-policy"] == "no-referrer"
        assert headers["cross-origin-opener-policy"] == "same-origin"
        assert "default-src 'none'" in headers["content-security-policy"]
        assert "unsafe" not in headers["content-security-policy"]
        assert "cache-control" in headers
        assert "server" not in headers


def test_a_fault_in_a_room_is_a_number_and_a_sentence(plant: Plant, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: Any, **__: Any) -> None:
        raise RuntimeError("the-inside")

    monkeypatch.setattr(plant.rooms.records, "search", broken)
    answer = plant.client("lead").get("/api/jobs")
    assert answer.status_code == 500
    shape_holds(answer)
    assert "the-inside" not in answer.text
