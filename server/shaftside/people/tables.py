"""The tables of the people room. Rows are made from checked values only: SQLModel tables do not validate."""

from __future__ import annotations

from sqlmodel import Field, SQLModel


class PersonRow(SQLModel, table=True):
    """A person; login is lower case; password_hash is argon2id, or null until an invitation is accepted."""

    __tablename__ = "person"
    id: str = Field(primary_key=True)
    name: str
    login: str | None = Field(default=None, unique=True)
    roles: str
    password_hash: str | None = None
    disabled: bool = False
    added_at: str


class InvitationRow(SQLModel, table=True):
    """An invitation that was not used yet; only the token's hash is kept."""

    __tablename__ = "invitation"
    token_hash: str = Field(primary_key=True)
    person: str = Field(foreign_key="person.id")
    expires_at: str


class DeviceRow(SQLModel, table=True):
    """A phone or a desk browser; secret_hash: SHA-256 of what proves it, null until it has one."""

    __tablename__ = "device"
    id: str = Field(primary_key=True)
    name: str
    first_at: str
    secret_hash: str | None = None


class DevicePersonRow(SQLModel, table=True):
    """Who has ever signed in on which device: whose events it may carry."""

    __tablename__ = "device_person"
    device: str = Field(primary_key=True, foreign_key="device.id")
    person: str = Field(primary_key=True, foreign_key="person.id")
    first_at: str


class SignInRow(SQLModel, table=True):
    """An open sign-in; only the token's hash is kept."""

    __tablename__ = "sign_in"
    token_hash: str = Field(primary_key=True)
    id: str = Field(unique=True)
    person: str = Field(foreign_key="person.id", index=True)
    device: str = Field(foreign_key="device.id")
    since: str
    last: str


class CalendarKeyRow(SQLModel, table=True):
    """The address of a person's own calendar of due work; only the key's hash is kept."""

    __tablename__ = "calendar_key"
    person: str = Field(primary_key=True, foreign_key="person.id")
    key_hash: str = Field(unique=True)
    made_at: str
