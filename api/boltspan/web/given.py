"""What the pages need of the application that shows them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any, Protocol

from flask import Response

from boltspan.domain.hardware_sizes import HardwareSizes
from boltspan.services.kept import Kept
from boltspan.services.name_cache import NameCache
from boltspan.services.protocols import Clock, Storage


class Given(Protocol):
    """Storage, clock, names, the data folder, what counts requests, and what is told about the API."""

    @property
    def storage(self) -> Storage: ...
    @property
    def clock(self) -> Clock: ...
    @property
    def names(self) -> NameCache: ...
    @property
    def shock_names(self) -> NameCache: ...
    @property
    def made(self) -> Kept[tuple[HardwareSizes, ...]]: ...  # what is produced in hardware
    @property
    def data(self) -> Path: ...
    @property
    def document(self) -> Callable[[], Mapping[str, Any]]: ...  # the OpenAPI document
    @property
    def problems(self) -> Sequence[Mapping[str, Any]]: ...  # the kinds with code, status, title and text
    def count(self) -> None: ...  # a look-up
    def count_bench(self) -> None: ...
    def count_report(self) -> None: ...  # of something that is wrong
    def count_write(self, person: str) -> None: ...
    def count_sign_up(self) -> None: ...
    def read_body(self, most_bytes: int | None = None) -> None: ...  # raises when it is too large
    def note_unanswered(self, counted: tuple[str, Mapping[str, Any]] | None) -> None: ...  # of services/wanted.py
    def with_script(self, response: Response) -> Response: ...  # whose page may run a script of ours
    def drain(self) -> None: ...  # reads what nobody has read of the body, so that the answer is read
    def written(self) -> None: ...  # shows what was committed here at once
