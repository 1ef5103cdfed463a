"""Settings, by environment (SHAFTSIDE_...) and by the command line, which wins."""

from __future__ import annotations

from pathlib import Path

from pydantic import Field
from pydantic_settings import BaseSettings, SettingsConfigDict


class Settings(BaseSettings):
    """One server's settings; DEVELOPERS.md and README list each."""

    model_config = SettingsConfigDict(env_prefix="SHAFTSIDE_", extra="ignore")

    data: Path = Path("var/shaftside")
    database: str | None = None
    content: Path | None = None
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
