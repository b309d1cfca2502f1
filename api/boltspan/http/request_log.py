"""Request ids, and one line of JSON for every request: what was asked, what came of it, never a secret."""

from __future__ import annotations

import itertools
import re
import secrets
import time
from collections.abc import Callable
from json.encoder import encode_basestring_ascii as quoted
from typing import Final

_SANE: Final = re.compile(r"[A-Za-z0-9._-]{8,64}")
_TOKEN: Final = re.compile(r"bs_[0-9A-Za-z]{8}_[0-9A-Za-z_-]*")


class RequestIds:
    """Mints ids that do not repeat: a random start for each process, then a count."""

    def __init__(self) -> None:
        self._start = secrets.token_hex(6)
        self._count = itertools.count(1)

    def of(self, given: str | None) -> str:
        """Return the caller's own id when it is sane (8 to 64 of letters, digits, dot, hyphen, underscore)."""
        if given is not None and _SANE.fullmatch(given):
            return given
        return f"{self._start}-{next(self._count):06x}"


class RequestLog:
    """Writes log lines; a log that cannot be written stops no request."""

    def __init__(self, write: Callable[[bytes], object]) -> None:
        self._write = write

    def request(
        self, method: str, route: str, path: str, status: str, seconds: float, size: str, request_id: str
    ) -> None:
        """Write the line of one request. ``route`` is the template, ``size`` the body's bytes ("-" when not known)."""
        if "bs_" in path:
            path = _TOKEN.sub("bs_...", path)
        line = (
            f'{{"at": {time.time():.3f}, "method": {quoted(method)}, "route": {quoted(route)}, "path": {quoted(path)}, '
            f'"status": {status}, "ms": {seconds * 1000:.3f}, "bytes": {size if size.isdigit() else 0}, '
            f'"request_id": "{request_id}"}}\n'
        )
        self.line(line)

    def failure(self, request_id: str, trace: str) -> None:
        """Write what went wrong inside the service, under the id of the request that met it."""
        trace = _TOKEN.sub("bs_...", trace)
        self.line(f'{{"at": {time.time():.3f}, "request_id": "{request_id}", "failure": {quoted(trace)}}}\n')

    def line(self, text: str) -> None:
        """Write one finished line."""
        try:
            self._write(text.encode())
        except OSError:
            return
