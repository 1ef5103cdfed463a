"""What surrounds every request: headers on every answer, cross-site refusals, limits, faults, and what the log never holds."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
import structlog
from fastapi import FastAPI, Request
from fastapi.testclient import TestClient
from structlog.testing import LogCapture

from shaftside.middleware import Shell, cross_site

EXACT = {
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}


@pytest.fixture
def client() -> Iterator[TestClient]:
    app = FastAPI()

    @app.api_route("/api/thing", methods=["GET", "POST", "PUT", "DELETE"])
    async def thing(request: Request) -> dict[str, int]:
        return {"bytes": len(await request.body())}

    @app.post("/desk/form")
    async def form(request: Request) -> dict[str, int]:
        return {"bytes": len(await request.body())}

    @app.get("/phone/")
    def phone() -> str:
        return "page"

    @app.get("/api/fault")
    def fault() -> None:
        raise RuntimeError("secret-of-the-inside")

    @app.get("/desk/fault")
    def desk_fault() -> None:
        raise RuntimeError("secret-of-the-inside")

    app.add_middleware(Shell)
    with TestClient(app, base_url="http://127.0.0.1:8420", raise_server_exceptions=False) as held:
        yield held


@pytest.mark.parametrize(
    "path", ["/api/thing", "/phone/", "/nothing", "/api/nothing", "/api/fault", "/desk/fault"]
)
def test_every_answer_carries_the_headers(client: TestClient, path: str) -> None:
    answer = client.get(path)
    for name, value in EXACT.items():
        assert answer.headers[name] == value
    camera = "(self)" if path.startswith("/phone") else "()"  # the phone app alone reads labels with the camera
    assert answer.headers["permissions-policy"] == f"camera={camera}, geolocation=(), microphone=()"
    assert "content-security-policy" in answer.headers
    assert answer.headers["cache-control"] == "no-store"
    assert len(answer.headers["x-request-id"]) == 16
    assert "strict-transport-security" not in answer.headers


def test_the_phones_policy_is_the_one_that_was_tried_in_a_browser(client: TestClient) -> None:
    """Source: the policy list verified in Chromium for lit-html with Trusted Types."""
    assert client.get("/phone/").headers["content-security-policy"] == (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; "
        "connect-src 'self'; font-src 'self'; manifest-src 'self'; worker-src 'self'; media-src 'self' blob:; "
        "form-action 'self'; frame-ancestors 'none'; base-uri 'none'; object-src 'none'; "
        "require-trusted-types-for 'script'; trusted-types lit-html app"
    )


def test_browsers_are_kept_to_https_where_there_is_https() -> None:
    app = FastAPI()
    app.add_middleware(Shell, https=True)
    answer = TestClient(app, base_url="https://plant.local").get("/")
    assert answer.headers["strict-transport-security"] == "max-age=63072000; includeSubDomains"


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE"])
@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({}, 200),  # no browser
        ({"sec-fetch-site": "same-origin"}, 200),
        ({"sec-fetch-site": "none"}, 200),
        ({"sec-fetch-site": "same-site"}, 403),
        ({"sec-fetch-site": "cross-site"}, 403),
        ({"sec-fetch-site": "nonsense"}, 403),
        ({"origin": "http://127.0.0.1:8420"}, 200),
        ({"origin": "http://127.0.0.1:9999"}, 403),
        ({"origin": "https://127.0.0.1:8420"}, 403),
        ({"origin": "http://127.0.0.1:8420.example"}, 403),
        ({"origin": "null"}, 403),
        ({"origin": "http://elsewhere.example"}, 403),
        # what the browser says of itself outranks an origin a proxy may have touched
        ({"sec-fetch-site": "cross-site", "origin": "http://127.0.0.1:8420"}, 403),
        ({"sec-fetch-site": "same-origin", "origin": "http://elsewhere.example"}, 200),
    ],
)
def test_who_may_ask_for_a_change(
    client: TestClient, method: str, headers: dict[str, str], status: int
) -> None:
    answer = client.request(method, "/api/thing", json={}, headers=headers)
    assert answer.status_code == status
    if status == 403:
        assert answer.json()["error"]["code"] == "cross_site"
    form = client.post("/desk/form", data={"a": "b"}, headers=headers)
    assert form.status_code == status


def test_reading_is_open_to_links_from_elsewhere(client: TestClient) -> None:
    assert client.get("/api/thing", headers={"sec-fetch-site": "cross-site"}).status_code == 200
    assert not cross_site({}, "http")


@pytest.mark.parametrize(
    "kind", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data", ""]
)
def test_the_api_takes_json_only(client: TestClient, kind: str) -> None:
    answer = client.post("/api/thing", content=b"{}", headers={"content-type": kind})
    assert answer.status_code == 415
    assert answer.json()["error"]["expects"] == "application/json"


def test_a_body_over_the_limit_is_refused_told_or_not(client: TestClient) -> None:
    big = b" " * (1024 * 1024 + 1)
    told = client.post("/api/thing", content=big, headers={"content-type": "application/json"})
    assert told.status_code == 413

    def pieces() -> Iterator[bytes]:
        for _ in range(20):
            yield b" " * 65_536

    untold = client.post("/api/thing", content=pieces(), headers={"content-type": "application/json"})
    assert untold.status_code == 413
    assert untold.json()["error"]["code"] == "too_large"
    exact = client.post("/api/thing", content=big[1:], headers={"content-type": "application/json"})
    assert exact.json() == {"bytes": 1024 * 1024}


def test_a_fault_tells_the_person_a_number_and_nothing_of_the_inside(client: TestClient) -> None:
    answer = client.get("/api/fault")
    assert answer.status_code == 500
    error = answer.json()["error"]
    assert set(error) == {"code", "message", "field", "expects", "details", "request"}
    assert error["request"] == answer.headers["x-request-id"]
    assert "secret" not in answer.text
    page = client.get("/desk/fault")
    assert page.status_code == 500
    assert "secret" not in page.text
    assert page.headers["x-request-id"] in page.text


def test_the_log_has_no_invitation_secret_no_query_and_no_body(client: TestClient) -> None:
    capture = LogCapture()
    held = structlog.get_config()
    structlog.configure(processors=[capture])
    try:
        client.post("/api/invitations/tok-secret/accept?next=query-secret", json={"password": "pass-secret"})
        client.get("/desk/invitation/tok-secret", headers={"cookie": "shaftside=cookie-secret"})
    finally:
        structlog.configure(**held)
    assert [one["path"] for one in capture.entries] == ["/api/invitations/.../accept", "/desk/invitation/..."]
    assert "secret" not in repr(capture.entries)
