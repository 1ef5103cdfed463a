"""The people room by itself: setup code, invitations, sign-ins, their limits and their ends."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Coroutine, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median
from typing import Any, TypeVar

import pytest

from shaftside.database import Database
from shaftside.errors import ShaftsideError
from shaftside.people import People, passwords

T = TypeVar("T")
GOOD = "four plain words here"
DEVICE = "0192f000-0000-7000-8000-000000000001"


def run(doing: Coroutine[Any, Any, T]) -> T:
    return asyncio.run(doing)


class Clock:
    """A clock that a test moves."""

    def __init__(self) -> None:
        self.now = datetime(2026, 5, 4, 6, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def told() -> list[tuple[str, str]]:
    return []


@pytest.fixture
def people(tmp_path: Path, clock: Clock, told: list[tuple[str, str]]) -> Iterator[People]:
    database = Database.open(f"sqlite:///{tmp_path / 'p.sqlite'}")
    database.migrate()

    async def tell(kind: str, record: str, body: dict[str, Any], by: str) -> None:
        told.append((kind, record))

    yield People(database, tell, clock)
    database.close()


def refused(doing: Coroutine[Any, Any, Any]) -> ShaftsideError:
    with pytest.raises(ShaftsideError) as caught:
        run(doing)
    return caught.value


def lead(people: People, login: str = "lea") -> str:
    return run(people.add("Lea Lead", ["lead"], login=login, password=GOOD))


def test_there_is_no_default_account_and_the_code_makes_one_admin_once(
    people: People, told: list[Any]
) -> None:
    assert people.needs_setup()
    assert people.people() == []
    code = people.new_setup_code()
    wrong = "0" * len(code) if code[0] != "0" else "1" * len(code)
    assert refused(people.setup(wrong, "A", "ann", GOOD)).code == "setup_code_wrong"
    assert refused(people.setup(code, "A", "ann", "short")).code == "password_short"
    person = run(people.setup(f" {code.lower()} ", "Ann", "Ann", GOOD))
    assert [(one.id, one.login, one.roles) for one in people.people()] == [
        (person, "ann", frozenset({"admin"}))
    ]
    assert refused(people.setup(code, "B", "bob", GOOD)).code == "already_set_up"
    assert told == [("person_added", person)]


def test_a_setup_code_ends_after_15_minutes_and_a_new_one_ends_the_old(people: People, clock: Clock) -> None:
    old = people.new_setup_code()
    new = people.new_setup_code()
    assert refused(people.setup(old, "A", "ann", GOOD)).code == "setup_code_wrong"
    clock.now += timedelta(minutes=15, seconds=1)
    assert refused(people.setup(new, "A", "ann", GOOD)).code == "setup_code_wrong"


def test_two_at_once_with_one_code_make_one_admin(people: People) -> None:
    code = people.new_setup_code()

    async def both() -> list[Any]:
        return await asyncio.gather(
            people.setup(code, "A", "ann", GOOD), people.setup(code, "B", "bob", GOOD), return_exceptions=True
        )

    results = run(both())
    assert sum(isinstance(one, str) for one in results) == 1
    assert len(people.people()) == 1


def test_an_invitation_is_for_one_use_and_seven_days(people: People, clock: Clock) -> None:
    token = run(people.invite("Tom Technician", ["technician"], lead(people)))
    assert len(token) >= 43  # 256 bits
    assert people.invited(token) == "Tom Technician"
    assert refused(people.accept(token, "lea", GOOD)).code == "login_taken"
    assert refused(people.accept(token, "Has Space", GOOD)).code == "bad_login"
    person = run(people.accept(token, "tom", GOOD))
    assert run(people.sign_in("tom", GOOD, DEVICE, "Phone"))[1].person_id == person
    assert refused(people.accept(token, "tom2", GOOD)).code == "invitation_gone"
    late = run(people.invite("Late", ["planner"], person))
    clock.now += timedelta(days=7, seconds=1)
    assert refused(people.accept(late, "late", GOOD)).code == "invitation_gone"


def test_two_at_once_with_one_invitation_make_one_sign_in(people: People) -> None:
    token = run(people.invite("Tom", ["technician"], lead(people)))

    async def both() -> list[Any]:
        return await asyncio.gather(
            people.accept(token, "tom", GOOD), people.accept(token, "tim", GOOD), return_exceptions=True
        )

    assert sum(isinstance(one, str) for one in run(both())) == 1


def test_a_sign_in_is_bound_to_its_device_and_only_its_hash_is_kept(people: People) -> None:
    lead(people)
    token, session = run(people.sign_in(" LEA ", GOOD, DEVICE, "Phone"))
    assert session.device_id == DEVICE
    assert people.known_on(DEVICE) == {session.person_id}
    assert run(people.session(token)) == session
    assert run(people.session(token + "x")) is None
    assert run(people.session(None)) is None
    path = people.database.url.database
    assert path is not None
    for file in (Path(path), Path(f"{path}-wal")):
        if file.exists():
            assert token.encode() not in file.read_bytes()
            assert GOOD.encode() not in file.read_bytes()


def test_idle_and_absolute_ends(people: People, clock: Clock) -> None:
    lead(people)
    token, _ = run(people.sign_in("lea", GOOD, DEVICE, "Phone"))
    clock.now += timedelta(hours=12, minutes=1)
    assert run(people.session(token)) is None
    token, _ = run(people.sign_in("lea", GOOD, DEVICE, "Phone"))
    for _ in range(17):
        clock.now += timedelta(hours=11)
        if run(people.session(token)) is None:
            break
    assert clock.now - datetime(2026, 5, 4, 18, 1, tzinfo=UTC) > timedelta(days=7)
    assert run(people.session(token)) is None


def test_sign_out_revoke_and_disable_end_sign_ins(people: People) -> None:
    person = lead(people)
    first, _ = run(people.sign_in("lea", GOOD, DEVICE, "Phone"))
    second, held = run(people.sign_in("lea", GOOD, None, "Desk"))
    third, _ = run(people.sign_in("lea", GOOD, None, "Desk"))
    assert len(people.sign_ins(person)) == 3
    run(people.sign_out(first))
    assert run(people.session(first)) is None
    run(people.revoke(person, held.sign_in))
    assert run(people.session(second)) is None
    assert run(people.session(third)) is not None
    other = lead(people, "leo")
    third_id = people.sign_ins(person)[0].id
    assert refused(people.revoke(other, third_id)).status == 404  # nobody ends another's by a wrong person id
    run(people.set_disabled(person, True, other))
    assert run(people.session(third)) is None
    assert refused(people.sign_in("lea", GOOD, DEVICE, "Phone")).code == "sign_in_wrong"
    run(people.set_disabled(person, False, other))
    run(people.sign_in("lea", GOOD, DEVICE, "Phone"))


def test_roles_and_the_last_administrator(people: People, told: list[tuple[str, str]]) -> None:
    admin = run(people.add("Ann", ["admin"], login="ann", password=GOOD))
    assert refused(people.set_roles(admin, ["lead"], admin)).code == "last_admin"
    assert refused(people.set_disabled(admin, True, admin)).code == "last_admin"
    assert refused(people.set_roles(admin, ["emperor"], admin)).code == "bad_roles"
    person = lead(people)
    run(people.set_roles(person, ["planner", "lead", "lead"], admin))
    assert {one.id: one.roles for one in people.people()}[person] == {"lead", "planner"}
    assert told[-1] == ("roles_changed", person)


def test_five_wrong_tries_stop_an_account_for_a_while_and_a_right_password_does_not_help(
    people: People,
) -> None:
    lead(people)
    for _ in range(5):
        assert refused(people.sign_in("lea", "wrong", DEVICE, "Phone", "10.0.0.1")).status == 401
    assert refused(people.sign_in("lea", GOOD, DEVICE, "Phone", "10.0.0.1")).status == 429
    people.by_login.clock = lambda: time.monotonic() + 15 * 60 + 1
    run(people.sign_in("lea", GOOD, DEVICE, "Phone", "10.0.0.1"))


def test_tries_at_once_do_not_slip_past_the_limit(people: People) -> None:
    lead(people)

    async def many() -> list[Any]:
        tries = [people.sign_in("lea", f"wrong {n}", DEVICE, "Phone", "10.0.0.1") for n in range(12)]
        return await asyncio.gather(*tries, return_exceptions=True)

    statuses = [one.status for one in run(many()) if isinstance(one, ShaftsideError)]
    assert sorted(statuses) == [401] * 5 + [429] * 7


def test_an_address_is_stopped_after_30_names(people: People) -> None:
    for number in range(30):
        assert refused(people.sign_in(f"nobody{number}", "wrong", DEVICE, "P", "10.0.0.9")).status == 401
    assert refused(people.sign_in("nobody99", "wrong", DEVICE, "P", "10.0.0.9")).status == 429
    assert refused(people.sign_in("nobody99", "wrong", DEVICE, "P", "10.0.0.8")).status == 401


def test_right_sign_ins_do_not_use_up_an_address(people: People) -> None:
    lead(people)
    for _ in range(31):
        run(people.sign_in("lea", GOOD, DEVICE, "Phone", "10.0.0.1"))


def test_an_unknown_name_costs_the_same_work_and_says_the_same(people: People) -> None:
    """Both go through one argon2 verification; the medians may not differ by half."""
    lead(people)
    people.by_login.most = people.by_address.most = 1000

    def took(login: str) -> tuple[float, str]:
        began = time.perf_counter()
        said = refused(people.sign_in(login, "wrong password here", DEVICE, "P"))
        return time.perf_counter() - began, f"{said.status} {said.code} {said.message}"

    known, unknown = zip(*[(took("lea"), took("nobody")) for _ in range(9)], strict=True)
    assert {text for _, text in known} == {text for _, text in unknown}
    ratio = median(seconds for seconds, _ in unknown) / median(seconds for seconds, _ in known)
    assert 0.5 < ratio < 2.0


@pytest.mark.parametrize(
    ("password", "code"),
    [
        ("x" * 14, "password_short"),
        ("aaaaaaaaaaaaaaaaaaaa", "password_common"),
        ("passwordpassword", "password_common"),
        ("ä" * 100 + "bcdefghi" * 8, "password_long"),
        ("lealealealealea", "password_common"),
    ],
)
def test_new_passwords_that_are_refused(password: str, code: str) -> None:
    with pytest.raises(ShaftsideError) as caught:
        passwords.check_new(password, "lea")
    assert caught.value.code == code
    assert caught.value.field == "password"


@pytest.mark.parametrize(
    "password", ["four plain words here", "ÄÖÜ ist auch ein Wort", " spaces kept as sent "]
)
def test_new_passwords_need_no_composition_and_are_taken_as_received(password: str) -> None:
    passwords.check_new(password)
    kept = run(passwords.make_hash(password))
    assert kept.startswith("$argon2id$v=19$m=19456,t=2,p=1$")
    assert run(passwords.matches(password, kept))
    assert not run(passwords.matches(password.strip() + ".", kept))
    assert not run(passwords.matches(password, None))


def test_the_password_again_for_a_sign_off(people: People) -> None:
    person = lead(people)
    assert run(people.password_is(person, GOOD))
    for _ in range(5):
        assert not run(people.password_is(person, "wrong"))
    assert refused(people.password_is(person, GOOD)).status == 429
