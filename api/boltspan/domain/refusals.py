"""A bench question that gets no answer: outside its stated form or range, or one of the refusals the trade knows."""

from __future__ import annotations

from typing import Final

from boltspan.domain.errors import BoltspanError

REFUSED: Final = {
    "missing": "this field is needed here",
    "not_one_of": "this is none of what is taken here",
    "not_understood": "this cannot be read",
    "out_of_range": "this lies outside what can be",
    "wrong_number_of_entries": "the list has too few or too many entries",
    "width_below_eyelet": "the hardware is narrower than the eyelet that it stands in",
    "width_equals_eyelet_no_spacer": "hardware as wide as the eyelet leaves no room for spacers",
    "shift_exceeds_spacer": "the eyelet is shifted by more than there is room for on one side",
    "stroke_longer_than_shock": "the stroke is as long as the shock or longer",
    "outer_under_inner": "the outside is no larger than the inside",
    "interval_unknown": "no table holds this size",
    "size_out_of_range": "no table holds this size",
    "grade_out_of_range": "no table holds this grade",
    "thread_unknown": "no table holds this thread",
}
"""What each code says."""


class BenchRefusal(BoltspanError, ValueError):
    """Why the bench does not answer.

    ``code`` is stable and machine-readable; ``field`` is the path of the field inside the request, parts joined by
    ``/`` and counted from 0 (``candidates/2/prior``), so that ``"/" + field`` is a JSON Pointer (RFC 6901);
    ``got`` is what stood there, shortened to 80 characters; ``accepted`` says what would be taken, ``detail`` what is
    wrong with it.
    """

    def __init__(self, code: str, field: str, got: object, accepted: str) -> None:
        self.code = code
        self.field = field
        self.got = str(got)[:80]
        self.accepted = accepted
        self.detail = REFUSED[code]
        super().__init__(f"{field}: {self.detail}; got {self.got}; accepted: {accepted}")
