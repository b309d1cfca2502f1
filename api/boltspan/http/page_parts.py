"""What the pages get of the application: they stand in a layer of their own and ask for no more than this."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from flask import Response, g, request

from boltspan.domain.hardware_sizes import HardwareSizes
from boltspan.http.call import count_request, count_sender, count_write
from boltspan.http.headers import POLICY, SCRIPTED_PAGE
from boltspan.http.parts import Parts
from boltspan.http.strictjson import body_of, drain
from boltspan.services.kept import Kept
from boltspan.services.name_cache import NameCache
from boltspan.services.protocols import Clock, Storage


@dataclass(frozen=True, slots=True)
class PageParts:
    """Storage, clock, names and the data folder as the application has them.

    ``document`` returns the OpenAPI document, ``problems`` are the kinds with code, status, title and text.
    """

    parts: Parts
    document: Callable[[], Mapping[str, Any]]
    problems: Sequence[Mapping[str, Any]]

    @property
    def storage(self) -> Storage:
        """The storage."""
        return self.parts.storage

    @property
    def clock(self) -> Clock:
        """The time."""
        return self.parts.clock

    @property
    def names(self) -> NameCache:
        """The index of names."""
        return self.parts.names

    @property
    def shock_names(self) -> NameCache:
        """The index of names of shocks."""
        return self.parts.shock_names

    @property
    def made(self) -> Kept[tuple[HardwareSizes, ...]]:
        """What is produced in hardware."""
        return self.parts.made

    @property
    def data(self) -> Path:
        """The data folder."""
        return self.parts.settings.data

    def count(self) -> None:
        """Count this request as a look-up. Raises OverLimit."""
        g.policy = self.parts.policies.lookup
        g.left = count_request(self.parts, g.policy, request.remote_addr)

    def count_bench(self) -> None:
        """Count this request as one to the bench. Raises OverLimit."""
        g.policy = self.parts.policies.bench
        g.left = count_request(self.parts, g.policy, request.remote_addr)

    def count_report(self) -> None:
        """Count this request as a report from its address, together with those to the API. Raises OverLimit."""
        g.policy = self.parts.policies.report
        g.left = count_request(self.parts, g.policy, request.remote_addr)

    def count_write(self, person: str) -> None:
        """Count this request as a write of a person. Raises OverLimit."""
        g.policy = self.parts.policies.write
        g.left = count_write(self.parts, person)

    def count_sign_up(self) -> None:
        """Count this request as a sign-up from its address. Raises OverLimit."""
        g.policy = self.parts.policies.sign_up
        g.left = count_sender(self.parts, g.policy, request.remote_addr)

    def read_body(self, most_bytes: int | None = None) -> None:
        """Read this request's body into memory, as bodies of the API are read.

        Raises RequestEntityTooLarge beyond ``most_bytes`` (absent: the usual), Unavailable when many are on their way.
        """
        if most_bytes is not None:
            request.max_content_length = most_bytes + 1
        body_of(request)

    def note_unanswered(self, counted: tuple[str, Mapping[str, Any]] | None) -> None:
        """Count a question that found no answer, as ``services/wanted.py`` names it; None counts nothing."""
        self.parts.unanswered.note(counted)

    def with_script(self, response: Response) -> Response:
        """Let a page run a script of ours, by its policy."""
        response.headers[POLICY] = SCRIPTED_PAGE
        return response

    def drain(self) -> None:
        """Read what nobody has read of this request's body, so that its sender gets to read the answer."""
        drain(request)

    def written(self) -> None:
        """Show what was just committed here at once."""
        self.parts.published.written()
