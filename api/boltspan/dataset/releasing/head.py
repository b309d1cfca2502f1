"""What a release is: its number, the event it stands at, and the day that event came in."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from boltspan.domain.cautions import CAUTIONS

VERSION: Final = re.compile(r"([2-9][0-9]{3})\.(0[1-9]|1[0-2])\.([1-9][0-9]{0,5})")
"""Year, month and a number that counts within the month: 2026.03.1."""
INVENTED: Final = (
    "DEMO DATA: every make, model, frame, size, source and person in this release is invented. Do not order, sell or "
    "fit anything by it."
)


@dataclass(frozen=True, slots=True)
class ReleaseHead:
    """``event`` is the last event the release holds, ``built_on`` that event's date: no clock is asked.

    ``previous`` is the version it is compared with, absent for the first one; ``event_hash`` covers all events so far.
    """

    version: str
    event: int
    built_on: str
    title: str
    licence: str
    demo: bool
    previous: str | None = None
    event_hash: str | None = None

    @property
    def notes(self) -> list[str]:
        """What everybody who reads the release has to know: that it is invented, if so, and the cautions in full."""
        return ([INVENTED] if self.demo else []) + list(CAUTIONS.values())


def version_after(versions: list[str], on: str) -> str:
    """Return the version of a release of the day ``on`` (YYYY-MM-DD): one more than the last of its month.

    Years are written with four digits, months with two, the number without zeros in front.
    """
    month = on[:7].replace("-", ".")
    numbers = [int(m[3]) for v in versions if (m := VERSION.fullmatch(v)) and f"{m[1]}.{m[2]}" == month]
    return f"{month}.{max(numbers, default=0) + 1}"
