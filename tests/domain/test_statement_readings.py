"""What a claim's readings allow, for bolts whose threads stand in no table."""

from __future__ import annotations

from decimal import Decimal

import pytest

from boltspan.domain.claims import Claim
from boltspan.domain.findings import find
from boltspan.domain.sources import Measurement, Source
from boltspan.domain.statement_readings import statement_of
from boltspan.domain.values import EndValue
from tests.domain.builders import ANN, frame, page


def crest(reading: str, instrument: str = "digital_caliper") -> Claim:
    measured = Measurement(instrument, Decimal("0.01"), "thread_crest", None, (Decimal(reading),))
    return Claim("c-000000000m", "f-0000000001", "upper", Source("measured", ANN, "2026-03-01", measurement=measured))


@pytest.mark.parametrize(
    ("reading", "bolt", "allowed"),
    [
        ("12.55", "12.7", True),
        ("12.2", "12.7", False),
        ("12.8", "12.7", False),
        ("8.8", "9", True),
        ("7.9", "9", False),
    ],
)
def test_a_crest_reading_is_judged_for_a_bolt_of_no_table(reading: str, bolt: str, allowed: bool) -> None:
    """Half an inch and 9 mm: neither is in ISO 965-1's or ASME B1.1's rows kept here."""
    assert statement_of(crest(reading)).allows(EndValue("hardware", Decimal(bolt))) is allowed


def test_a_page_that_names_such_a_bolt_beside_a_crest_reading_gives_a_finding() -> None:
    half_inch = page(1, {"mount": "hardware", "bolt_mm": "12.7", "width_mm": 30})
    assert find(frame(), "upper", [half_inch, crest("12.55")], []).standing == "provisional"
    assert find(frame(), "upper", [half_inch, crest("7.9")], []).standing == "disputed"
