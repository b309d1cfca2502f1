"""The years a claim speaks of touch the years of its frame or shock.

A claim about other years belongs to another generation and says nothing of this one. It stays a warning, since the
years of a record may have been corrected after the claim was made.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from boltspan.dataset.placed import Records
from boltspan.dataset.problems import Problem
from boltspan.domain.fields import years_json
from boltspan.domain.jsontext import dumps

CODE: Final = "claim_years"
NAME: Final = "claims speak of the frame's years"


def find(records: Records) -> Iterator[Problem]:
    """Yield a warning for each claim whose years lie wholly outside its record's."""
    made = {m.record.id: m.record for m in records.made}
    for placed in records.claims:
        claim, about = placed.record, made[placed.record.frame]
        if claim.years is not None and not claim.years.overlaps(about.years):
            detail = "the claim speaks of years in which this was not made"
            got, accepted = dumps(years_json(claim.years)), f"years within {dumps(years_json(about.years))}"
            yield Problem(placed.path, f"{placed.pointer}/years", CODE, detail, got, accepted, warning=True)
