"""Settings, all from the environment; every one has a default that needs no set-up, and none is a secret."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from pathlib import Path
from typing import Any, Final

from boltspan.domain.errors import InvalidInput

_ON: Final = {"on": True, "off": False}


def _setting(name: str, text: str, default: Any) -> Any:
    return field(default=default, metadata={"env": name, "text": text})


@dataclass(frozen=True, slots=True)
class Config:
    """How this instance runs. ``from_environment`` reads it; every field names its variable and says what it does."""

    data: Path = _setting("BOLTSPAN_DATA", "Folder for the database, the photos and the releases; made when missing.",
                          Path(".boltspan"))  # fmt: skip
    database_url: str = _setting("BOLTSPAN_DATABASE_URL", "Database: postgresql+psycopg://... or sqlite:///...; "
                                 "absent means SQLite in the data folder.", "")  # fmt: skip
    dataset: str = _setting("BOLTSPAN_DATASET", "Dataset folder that fills an empty database; absent means the one "
                            "shipped.", "")  # fmt: skip
    bind: str = _setting("BOLTSPAN_BIND", "Address to listen on.", "127.0.0.1")
    port: int = _setting("BOLTSPAN_PORT", "Port to listen on.", 8000)
    workers: int = _setting("BOLTSPAN_WORKERS", "Worker processes.", 2)
    trusted_proxies: int = _setting("BOLTSPAN_TRUSTED_PROXIES", "How many proxies in front are trusted to name the "
                                    "caller's address.", 0)  # fmt: skip
    rate_limits: bool = _setting("BOLTSPAN_RATE_LIMITS", "Rate limits: on or off.", True)
    published_cap: int = _setting("BOLTSPAN_PUBLISHED_CAP", "Most answers each worker keeps ready in memory.", 200_000)
    log_level: str = _setting("BOLTSPAN_LOG_LEVEL", "debug, info, warning or error.", "info")

    @classmethod
    def from_environment(cls, environment: Mapping[str, str] | None = None) -> Config:
        """Return the settings in ``environment`` (the process's own by default).

        Raises InvalidInput naming the variable for a value that is none of what it takes.
        """
        given = os.environ if environment is None else environment
        known = {f.metadata["env"]: f for f in fields(cls)}
        found: dict[str, Any] = {}
        for name, text in given.items():
            if name in known:
                found[known[name].name] = _read(name, text, known[name].default)
        return cls(**found)

    @property
    def url(self) -> str:
        """The database's address, SQLite in the data folder by default."""
        return self.database_url or f"sqlite:///{self.data.absolute() / 'boltspan.sqlite'}"


def unknown_settings(environment: Mapping[str, str]) -> list[str]:
    """Return the variables that look like settings and are none: a misspelt one must not be passed over in silence."""
    known = {f.metadata["env"] for f in fields(Config)} | OTHER_VARIABLES
    return sorted(name for name in environment if name.startswith("BOLTSPAN_") and name not in known)


OTHER_VARIABLES: Final = frozenset({"BOLTSPAN_STRICT_TESTS", "BOLTSPAN_PG_BIN", "BOLTSPAN_VNU_JAR"})
"""Variables of the tests, which are no settings of the service."""


def _read(name: str, text: str, default: Any) -> Any:
    if isinstance(default, bool):
        if text in _ON:
            return _ON[text]
        raise InvalidInput.one(f"/{name}", "bad_setting", f"{name} is on or off", got=text, accepted="on, off")
    if isinstance(default, int):
        if text.isascii() and text.isdigit() and len(text) < 9:
            return int(text)
        raise InvalidInput.one(f"/{name}", "bad_setting", f"{name} is a whole number", got=text, accepted="0 or more")
    return Path(text) if isinstance(default, Path) else text
