"""Small builders of records for tests; ids are readable, the make is invented."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from boltspan.domain.claims import Claim
from boltspan.domain.frames import Frame, Years
from boltspan.domain.records import frame_from
from boltspan.domain.review import Decision
from boltspan.domain.statements import claim_from, decision_from

ANN, BEN, CAM, RAE = "p-000000000a", "p-000000000b", "p-000000000c", "p-000000000r"
SIZE = {"mount": "hardware", "bolt_mm": 8, "width_mm": "22.2"}


def frame(number: int = 1, *, start: int = 2021, end: int | None = 2023, **more: Any) -> Frame:
    """Return a frame of an invented make with ends upper and lower."""
    years = {"from": start} | ({} if end is None else {"to": end})
    return frame_from(
        "tarnvale",
        "skerry",
        {"id": f"f-{number:010d}", "record": "frame", "years": years, "ends": ["upper", "lower"], **more},
    )


def exact(data: Any) -> Any:
    """Return JSON-like data with texts of digits as Decimals, so that tests write sizes plainly."""
    from decimal import Decimal, InvalidOperation

    if isinstance(data, Mapping):
        keep = ("document", "quote", "page", "seen_on", "on", "why", "is", "ask")
        return {k: v if k in keep else exact(v) for k, v in data.items()}
    if isinstance(data, list | tuple):
        return [exact(v) for v in data]
    if isinstance(data, str):
        try:
            return Decimal(data)
        except InvalidOperation:
            return data
    return data


def page(
    number: int,
    value: Mapping[str, Any],
    *,
    document: str | None = None,
    kind: str = "spec_page",
    by: str = ANN,
    subject: str = "upper",
    of: Frame | None = None,
    seen_on: str = "2022-03-01",
    state: str = "accepted",
    years: Mapping[str, int] | None = None,
) -> Claim:
    """Return a claim read from a document."""
    return _claim(
        number,
        subject,
        of,
        state,
        {
            "value": exact(value),
            **({"years": years} if years else {}),
            "source": {"kind": kind, "document": document or f"example.org/{number}", "seen_on": seen_on, "by": by},
        },
    )


def measured(
    number: int,
    *,
    bolt: tuple[str, str] | None = None,
    width: tuple[str, str] | None = None,
    by: str = BEN,
    tool: str = "digital_caliper",
    step: str = "0.01",
    value: Mapping[str, Any] | None = None,
    subject: str = "upper",
    of: Frame | None = None,
    state: str = "accepted",
) -> Claim:
    """Return a measured claim; ``bolt`` and ``width`` are (feature, readings separated by blanks)."""
    parts = {k: v for k, v in (("bolt", bolt), ("width", width)) if v is not None}
    return _claim(
        number,
        subject,
        of,
        state,
        {
            **({"value": exact(value)} if value else {}),
            "source": exact(
                {
                    "kind": "measured",
                    "seen_on": "2022-04-01",
                    "by": by,
                    "instrument": {"kind": tool, "resolution_mm": step},
                    "features": {k: v[0] for k, v in parts.items()},
                    "readings_mm": {k: v[1].split() for k, v in parts.items()},
                }
            ),
        },
    )


def _claim(number: int, subject: str, of: Frame | None, state: str, data: dict[str, Any]) -> Claim:
    from dataclasses import replace

    return replace(claim_from(of or frame(), subject, {"id": f"c-{number:010d}", **data}), state=state)


def ruling(number: int, kind: str, *, by: str = RAE, subject: str = "upper", **more: Any) -> Decision:
    """Return a decision; ``more`` has value, rests_on, overrules, refuses (claim numbers) or reverses (a number)."""
    data: dict[str, Any] = {"id": f"d-{number:010d}", "on": "2022-05-01", "by": by, "ruling": kind, "why": "for a test"}
    for key, given in more.items():
        if key == "value":
            data[key] = exact(given)
        elif key == "reverses":
            data[key] = f"d-{given:010d}"
        else:
            data[key] = [f"c-{n:010d}" for n in given]
    return decision_from(frame(), subject, data)


def years(start: int, end: int | None = None) -> Years:
    """Return years."""
    return Years(start, end)
