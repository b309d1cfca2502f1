"""Request ids, and one line of JSON for every request: what was asked, what came of it, never a secret."""

from __future__ import annotations

import itertools
import re
import secrets
import time
from collections.abc import Callable
from json.encoder import encode_basestring_ascii as quoted
from typing import Final

from boltspan.http.log_writer import LogWriter

_SANE: Final = re.compile(r"(?!.*bs_)[A-Za-z0-9._-]{8,64}")
_TOKEN: Final = re.compile(r"bs_[0-9A-Za-z]{8}_[0-9A-Za-z_-]*")


class RequestIds:
    """Mints ids that do not repeat: a random start for each process, then a count."""

    def __init__(self) -> None:
        self._start = secrets.token_hex(6)
        self._count = itertools.count(1)

    def of(self, given: str | None) -> str:
        """Return the caller's own id when it is sane: 8 to 64 of letters, digits, dot, hyphen, underscore; no token."""
        if given is not None and _SANE.fullmatch(given):
            return given
        return f"{self._start}-{next(self._count):06x}"


class RequestLog:
    """Writes log lines; a log that cannot be written stops no request."""

    def __init__(self, write: Callable[[bytes], object]) -> None:
        self._write = write
        self._later = write.later if isinstance(write, LogWriter) else None

    def request(
        self, method: str, route: str, path: str, status: str, seconds: float, size: str, request_id: str
    ) -> None:
        """Write the line of one request. ``route`` is the template, ``size`` the body's bytes ("-" when not known)."""
        if self._later is not None:
            self._later(_request_line, time.time(), method, route, path, status, seconds, size, request_id)
        else:
            self._send(_request_line(time.time(), method, route, path, status, seconds, size, request_id))

    def failure(self, request_id: str, trace: str) -> None:
        """Write what went wrong inside the service, under the id of the request that met it."""
        trace = _TOKEN.sub("bs_...", trace)
        self._send(f'{{"at": {time.time():.3f}, "request_id": "{request_id}", "failure": {quoted(trace)}}}\n'.encode())

    def _send(self, line: bytes) -> None:
        try:
            self._write(line)
        except OSError:
            return


def _request_line(
    at: float, method: str, route: str, path: str, status: str, seconds: float, size: str, request_id: str
) -> bytes:
    if "bs_" in path:
        path = _TOKEN.sub("bs_...", path)
    return (
        f'{{"at": {at:.3f}, "method": {quoted(method)}, "route": {quoted(route)}, "path": {quoted(path)}, '
        f'"status": {status}, "ms": {seconds * 1000:.3f}, "bytes": {size if size.isdigit() else 0}, '
        f'"request_id": "{request_id}"}}\n'
    ).encode()
