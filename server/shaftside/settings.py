"""Settings, by environment (SHAFTSIDE_...) and by the command line, which wins."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from pydantic import Field, ValidationError
from pydantic_settings import BaseSettings, SettingsConfigDict

PREFIX = "SHAFTSIDE_"


class StartRefused(Exception):
    """The server will not start like this; the message says why and what to do."""


class Settings(BaseSettings):
    """One server's settings; DEVELOPERS.md and README list each."""

    model_config = SettingsConfigDict(env_prefix=PREFIX, extra="ignore")

    data: Path = Path("var/shaftside")
    database: str | None = None
    content: Path | None = None
    plant: Path | None = None
    host: str = "127.0.0.1"
    port: int = Field(default=8420, ge=0, le=65535)
    https: bool = False
    certificate: Path | None = None
    key: Path | None = None
    insecure_lan: bool = False
    docs: bool = False

    @property
    def database_url(self) -> str:
        """The database's address: the setting, else one SQLite file in the data folder."""
        return self.database or f"sqlite:///{(self.data / 'shaftside.sqlite').absolute()}"

    @property
    def secure(self) -> bool:
        """Whether the server speaks https."""
        return self.https or self.certificate is not None


def read(given: dict[str, Any]) -> Settings:
    """The settings of the environment, with those of the command line over them. Raises StartRefused."""
    try:
        return Settings(**given)
    except ValidationError as problem:
        said = "; ".join(f"{_named(one['loc'], given)}: {one['msg']}" for one in problem.errors())
        raise StartRefused(f"a setting cannot be used. {said}.") from None


def _named(place: tuple[int | str, ...], given: dict[str, Any]) -> str:
    name = str(place[0]) if place else ""
    return f"--{name.replace('_', '-')}" if name in given else PREFIX + name.upper()
