"""Everything one may ask of the people room."""

from __future__ import annotations

import re
import secrets
import uuid
from collections.abc import Awaitable, Callable, Iterable
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlmodel import Session as Db
from sqlmodel import col, select

from shaftside.database import Database
from shaftside.errors import ShaftsideError
from shaftside.people import passwords
from shaftside.people.checked import checked_login, checked_name, checked_roles
from shaftside.people.model import Listed, OpenSignIn, Session
from shaftside.people.pace import Pace
from shaftside.people.proof import digest, enter
from shaftside.people.spans import iso, run_out
from shaftside.people.tables import DevicePersonRow, DeviceRow, InvitationRow, PersonRow, SignInRow
from shaftside.sentence import tell

INVITED = timedelta(days=7)
SETUP = timedelta(minutes=15)
ID = re.compile(r"^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$")

Tell = Callable[[str, str, dict[str, Any], str], Awaitable[None]]


def _roles(row: PersonRow) -> frozenset[str]:
    return frozenset(row.roles.split())


class People:
    """People, their roles, devices, invitations and sign-ins. tell: hands changes of role to the log."""

    def __init__(
        self, database: Database, tell: Tell | None = None, clock: Callable[[], datetime] | None = None
    ) -> None:
        self.database = database
        self.tell = tell
        self.clock = clock or (lambda: datetime.now(UTC))
        self.by_login = Pace(5, 15 * 60)
        self.by_address = Pace(30, 15 * 60)
        self._setup: tuple[str, datetime] | None = None

    # first start

    def needs_setup(self) -> bool:
        """Whether nobody can sign in yet."""
        with self.database.read() as db:
            return (
                db.exec(select(PersonRow).where(col(PersonRow.password_hash).is_not(None)).limit(1)).first()
                is None
            )

    def new_setup_code(self) -> str:
        """A one-time code, good for 15 minutes, that makes the first administrator."""
        code = secrets.token_hex(5).upper()
        self._setup = (digest(code), self.clock() + SETUP)
        return code

    async def setup(self, code: str, name: str, login: str, password: str, address: str = "") -> str:
        """Make the first administrator; the person's id. Raises 403 for a wrong or old code, 409 when done."""
        if not self.needs_setup():
            raise ShaftsideError(409, "already_set_up", tell("This server is set up already. Sign in."))
        self.by_address.check(f"setup {address}")
        held = self._setup
        if (
            held is None
            or self.clock() > held[1]
            or not secrets.compare_digest(digest(code.strip().upper()), held[0])
        ):
            self.by_address.failed(f"setup {address}")
            raise ShaftsideError(
                403,
                "setup_code_wrong",
                tell("The setup code is wrong or older than 15 minutes. Restart the server for a new one."),
                field="code",
            )
        self._setup = None  # before anything is awaited: one code, one administrator
        try:
            return await self.add(name, ["admin"], login=login, password=password)
        except ShaftsideError:
            self._setup = held  # a password that was too short costs no new code
            raise

    # people

    async def add(
        self,
        name: str,
        roles: Iterable[str],
        *,
        login: str | None = None,
        password: str | None = None,
        by: str = "setup",
    ) -> str:
        """Add a person; the id. Without login and password they come in by an invitation."""
        kept_roles = checked_roles(roles)
        row = PersonRow(
            id=str(uuid.uuid4()), name=checked_name(name), roles=kept_roles, added_at=iso(self.clock())
        )
        if login is not None and password is not None:
            row.login = checked_login(login)
            passwords.check_new(password, row.login)
            row.password_hash = await passwords.make_hash(password)
        await self.database.write(lambda db: self._insert(db, row))
        await self._told("person_added", row.id, {"name": row.name, "roles": kept_roles.split()}, by)
        return row.id

    def _insert(self, db: Db, row: PersonRow) -> None:
        if row.login and db.exec(select(PersonRow).where(PersonRow.login == row.login)).first():
            raise ShaftsideError(
                409, "login_taken", tell("That sign-in name is taken. Choose another."), field="login"
            )
        db.add(row)

    async def _told(self, kind: str, record: str, body: dict[str, Any], by: str) -> None:
        if self.tell is not None:
            await self.tell(kind, record, body, by if ID.match(by) else record)

    def people(self) -> list[Listed]:
        """Everybody, by name."""
        with self.database.read() as db:
            rows = db.exec(select(PersonRow).order_by(PersonRow.name)).all()
            return [Listed(row.id, row.name, row.login or "", _roles(row), row.disabled) for row in rows]

    async def set_roles(self, person: str, roles: Iterable[str], by: str) -> None:
        """Give other roles. The last administrator who can sign in stays one."""
        kept = checked_roles(roles)

        def change(db: Db) -> None:
            row = self._person(db, person)
            if "admin" in _roles(row) and "admin" not in kept.split():
                self._not_the_last_admin(db, person)
            row.roles = kept
            db.add(row)

        await self.database.write(change)
        await self._told("roles_changed", person, {"roles": kept.split()}, by)

    async def set_disabled(self, person: str, disabled: bool, by: str) -> None:
        """Shut a person out (every sign-in ends), or let them in again."""

        def change(db: Db) -> None:
            row = self._person(db, person)
            if disabled and "admin" in _roles(row):
                self._not_the_last_admin(db, person)
            row.disabled = disabled
            db.add(row)
            if disabled:
                for sign_in in db.exec(select(SignInRow).where(SignInRow.person == person)).all():
                    db.delete(sign_in)

        await self.database.write(change)
        await self._told("person_disabled" if disabled else "person_enabled", person, {}, by)

    def _person(self, db: Db, person: str) -> PersonRow:
        row = db.get(PersonRow, person)
        if row is None:
            raise ShaftsideError(404, "not_found", tell("There is no such person."))
        return row

    def _not_the_last_admin(self, db: Db, person: str) -> None:
        others = db.exec(
            select(PersonRow).where(PersonRow.id != person, col(PersonRow.disabled).is_(False))
        ).all()
        if not any("admin" in _roles(row) and row.password_hash for row in others):
            raise ShaftsideError(409, "last_admin", tell("This is the last administrator. Make another one first."))

    # invitations

    async def invite(self, name: str, roles: Iterable[str], by: str) -> str:
        """Add a person and make the invitation's token, shown once. Good for 7 days, for one use."""
        person = await self.add(name, roles, by=by)
        token = secrets.token_urlsafe(32)
        row = InvitationRow(token_hash=digest(token), person=person, expires_at=iso(self.clock() + INVITED))
        await self.database.write(lambda db: db.add(row))
        return token

    def invited(self, token: str) -> str:
        """The name of whom a token invites. Raises not_found when it is used, run out or wrong."""
        with self.database.read() as db:
            row = db.get(InvitationRow, digest(token))
            person = db.get(PersonRow, row.person) if row and row.expires_at > iso(self.clock()) else None
            if person is None:
                raise ShaftsideError(
                    404,
                    "invitation_gone",
                    tell("This invitation is used, has run out, or never was. Ask for a new one."),
                )
            return person.name

    async def accept(self, token: str, login: str, password: str) -> str:
        """Use an invitation; the person's id."""
        self.invited(token)
        login = checked_login(login)
        passwords.check_new(password, login)
        kept = await passwords.make_hash(password)

        def change(db: Db) -> str:
            row = db.get(InvitationRow, digest(token))
            if row is None:
                raise ShaftsideError(404, "invitation_gone", tell("This invitation is used already."))
            if db.exec(select(PersonRow).where(PersonRow.login == login)).first():
                raise ShaftsideError(
                    409, "login_taken", tell("That sign-in name is taken. Choose another."), field="login"
                )
            person = self._person(db, row.person)
            person.login, person.password_hash = login, kept
            db.add(person)
            db.delete(row)
            return person.id

        return await self.database.write(change)

    # sign-ins

    async def sign_in(
        self,
        login: str,
        password: str,
        device: str | None,
        device_name: str,
        address: str = "",
        secret: str | None = None,
    ) -> tuple[str, Session]:
        """Check and open a sign-in: (the secret token for the cookie, the session). Raises 401, 409, 429."""
        login = login.strip().lower()
        self.by_login.check(login)
        self.by_address.check(address)
        # counted before the answer is known: many tries at once must not all pass the check
        self.by_login.failed(login)
        self.by_address.failed(address)
        with self.database.read() as db:
            row = db.exec(select(PersonRow).where(PersonRow.login == login)).first()
            kept, person, disabled = (row.password_hash, row.id, row.disabled) if row else (None, "", True)
        if not await passwords.matches(password, kept) or disabled:
            raise ShaftsideError(401, "sign_in_wrong", tell("The sign-in name or the password is wrong."))
        self.by_login.passed(login)
        self.by_address.take_back(address)
        return await self.open(person, device, device_name, secret)

    async def open(
        self, person: str, device: str | None, device_name: str, secret: str | None = None
    ) -> tuple[str, Session]:
        """Open a sign-in for a person who has proved who they are. secret: what proves the device."""
        if device is not None and not ID.match(device):
            raise ShaftsideError(422, "bad_device", tell("The device's id is not a UUID."), field="device_id")
        token, now, place = secrets.token_urlsafe(32), iso(self.clock()), device or str(uuid.uuid4())

        def change(db: Db) -> Session:
            row = self._person(db, person)
            enter(db, place, device_name, person, secret, now)
            sign_in = SignInRow(
                token_hash=digest(token),
                id=str(uuid.uuid4()),
                person=person,
                device=place,
                since=now,
                last=now,
            )
            db.add(sign_in)
            return Session(person, row.name, _roles(row), place, sign_in.id)

        return token, await self.database.write(change)

    async def session(self, token: str | None) -> Session | None:
        """Who holds this token, or None when it is nobody's, idle too long, or too old."""
        if not token:
            return None
        now = self.clock()
        with self.database.read() as db:
            row = db.get(SignInRow, digest(token))
            person = db.get(PersonRow, row.person) if row else None
            if row is None or person is None or person.disabled:
                return None
            last = datetime.fromisoformat(row.last)
            if run_out(row.since, row.last, now):
                return None
            found = Session(person.id, person.name, _roles(person), row.device, row.id)
        if now - last > timedelta(minutes=5):  # not at every request: reading must not mean writing
            await self.database.write(lambda db: self._touch(db, digest(token), iso(now)))
        return found

    def _touch(self, db: Db, token_hash: str, now: str) -> None:
        row = db.get(SignInRow, token_hash)
        if row:
            row.last = now
            db.add(row)

    async def sign_out(self, token: str | None) -> None:
        """End a sign-in."""

        def change(db: Db) -> None:
            row = db.get(SignInRow, digest(token or ""))
            if row:
                db.delete(row)

        await self.database.write(change)

    def sign_ins(self, person: str) -> list[OpenSignIn]:
        """Open sign-ins of a person, newest first."""
        with self.database.read() as db:
            rows = db.exec(
                select(SignInRow).where(SignInRow.person == person).order_by(col(SignInRow.since).desc())
            ).all()
            names = {row.id: row.name for row in db.exec(select(DeviceRow)).all()}
            return [
                OpenSignIn(row.id, names.get(row.device, ""), row.device, row.since, row.last) for row in rows
            ]

    async def revoke(self, person: str, sign_in: str) -> None:
        """End one sign-in of a person."""

        def change(db: Db) -> None:
            row = db.exec(
                select(SignInRow).where(SignInRow.id == sign_in, SignInRow.person == person)
            ).first()
            if row is None:
                raise ShaftsideError(404, "not_found", tell("There is no such sign-in any more."))
            db.delete(row)

        await self.database.write(change)

    async def password_is(self, person: str, password: str) -> bool:
        """Whether it is this person's password; for a sign-off. Raises 429 after too many wrong ones."""
        self.by_login.check(f"again {person}")
        with self.database.read() as db:
            kept = self._person(db, person).password_hash
        self.by_login.failed(f"again {person}")
        right = await passwords.matches(password, kept)
        if right:
            self.by_login.passed(f"again {person}")
        return right

    def known_on(self, device: str) -> frozenset[str]:
        """Ids of everybody who ever signed in on a device."""
        with self.database.read() as db:
            return frozenset(
                db.exec(select(DevicePersonRow.person).where(DevicePersonRow.device == device)).all()
            )

    # the demo plant brings its people along

    async def import_person(self, *, id: str, name: str, login: str, roles: list[str], at: datetime) -> None:
        """Add a person under a given id, without a password; nothing happens when the id is there."""
        row = PersonRow(
            id=id,
            name=checked_name(name),
            login=checked_login(login),
            roles=checked_roles(roles),
            added_at=iso(at),
        )

        def change(db: Db) -> bool:
            if db.get(PersonRow, id) is not None:
                return False
            self._insert(db, row)
            return True

        if await self.database.write(change):
            await self._told("person_added", id, {"name": row.name, "roles": row.roles.split()}, id)

    async def import_device(self, *, id: str, name: str, people: list[str], at: datetime) -> None:
        """Add a device under a given id and who signed in on it; nothing happens when the id is there."""

        def change(db: Db) -> None:
            if db.get(DeviceRow, id) is None:
                db.add(DeviceRow(id=id, name=name[:100], first_at=iso(at)))
                db.flush()
                for person in people:
                    db.add(DevicePersonRow(device=id, person=person, first_at=iso(at)))

        await self.database.write(change)

    async def set_password(self, person: str, password: str) -> None:
        """Give a person a password, from the console only; every open sign-in of theirs ends."""
        passwords.check_new(password)
        kept = await passwords.make_hash(password)

        def change(db: Db) -> None:
            row = self._person(db, person)
            row.password_hash = kept
            db.add(row)
            for sign_in in db.exec(select(SignInRow).where(SignInRow.person == person)).all():
                db.delete(sign_in)

        await self.database.write(change)
