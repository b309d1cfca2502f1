"""How the HTTP layer behaves. A class of its own, so that it hangs on nobody's configuration."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Protocol

from boltspan.http.log_writer import LogWriter


class Configured(Protocol):
    """What is read of the service's configuration."""

    @property
    def data(self) -> Path: ...
    @property
    def trusted_proxies(self) -> int: ...
    @property
    def rate_limits(self) -> bool: ...
    @property
    def published_cap(self) -> int: ...


@dataclass(frozen=True, slots=True)
class HttpSettings:
    """All limits of the HTTP layer, with the defaults that need no set-up.

    ``published_cap`` is the largest number of answers kept ready in memory (0: none, every request is answered from
    the database); ``follow_s`` is how many seconds one may be behind the database. Quotas count requests a minute from
    one address, ``write_quota`` those of one person, ``report_quota`` flags and wishes, ``sign_up_quota`` sign-ups an
    hour from one address. ``log`` takes each finished log line.
    """

    data: Path = Path(".boltspan")
    trusted_proxies: int = 0
    rate_limits: bool = True
    published_cap: int = 200_000
    published_fill: int = 20_000
    follow_s: float = 0.5
    lookup_quota: int = 600
    bench_quota: int = 600
    write_quota: int = 60
    sign_up_quota: int = 20
    report_quota: int = 10
    most_bytes: int = 1024 * 1024
    log: Callable[[bytes], object] = field(default_factory=LogWriter)

    @classmethod
    def of(cls, config: Configured) -> HttpSettings:
        """Return the settings that a configuration asks for."""
        return cls(
            data=config.data,
            trusted_proxies=config.trusted_proxies,
            rate_limits=config.rate_limits,
            published_cap=config.published_cap,
        )
