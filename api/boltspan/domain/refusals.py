"""A bench question that gets no answer: outside its stated form or range, or one of the refusals the trade knows."""

from __future__ import annotations

from boltspan.domain.errors import BoltspanError


class BenchRefusal(BoltspanError, ValueError):
    """Why the bench does not answer.

    ``code`` is stable and machine-readable; ``field`` is the path of the field inside the request, parts joined by
    ``/`` and counted from 0 (``candidates/2/prior``), so that ``"/" + field`` is a JSON Pointer (RFC 6901);
    ``got`` is what stood there, shortened to 80 characters; ``accepted`` says what would be taken.
    """

    def __init__(self, code: str, field: str, got: object, accepted: str) -> None:
        self.code = code
        self.field = field
        self.got = str(got)[:80]
        self.accepted = accepted
        super().__init__(f"{field}: got {self.got}; accepted: {accepted}")
