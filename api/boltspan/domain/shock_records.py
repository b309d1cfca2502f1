"""JSON forms of shock models and shocks, both ways (see records.py for the manner)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from boltspan.domain.fields import years_from, years_json
from boltspan.domain.frames import END_PAIRS
from boltspan.domain.ids import check_id
from boltspan.domain.problems import Problems
from boltspan.domain.records import model_from, qualifier_from, qualifier_json, record_state_from, record_state_json
from boltspan.domain.shocks import SHOCK_RECORDS, Shock, ShockModel, SoldWith
from boltspan.domain.statements import source_from, source_json


def shock_model_from(make: str, data: Mapping[str, Any], pointer: str = "") -> ShockModel:
    """Return the shock model of ``make`` in ``data`` (keys name, slug, aliases)."""
    model = model_from(make, data, pointer)
    return ShockModel(model.make, model.slug, model.name, model.aliases)


def sold_with_from(data: Mapping[str, Any], pointer: str) -> SoldWith:
    """Return what ``data`` says is in the box (keys frame, ends, source): one end of a frame, or both of one pair."""
    problems = Problems()
    frame = problems.keep(lambda: check_id("frame", data.get("frame"), f"{pointer}/frame"))
    ends = tuple(data.get("ends", ()))
    if ends not in END_PAIRS and not (len(ends) == 1 and any(ends[0] in pair for pair in END_PAIRS)):
        accepted = "one end, or both of a pair: " + "; ".join(", ".join(p) for p in END_PAIRS)
        problems.add(f"{pointer}/ends", "bad_ends", "the hardware is for one end or both", list(ends), accepted)
    source = problems.keep(lambda: source_from(data.get("source", {}), f"{pointer}/source"))
    problems.raise_any()
    assert frame is not None and source is not None
    return SoldWith(frame, ends, source)


def shock_from(make: str, model: str, data: Mapping[str, Any], pointer: str = "") -> Shock:
    """Return the shock record in ``data`` (a shock of a shock file without its subjects); problems are told at once."""
    problems = Problems()
    shock_id = problems.keep(lambda: check_id("shock", data.get("id"), f"{pointer}/id"))
    years = problems.keep(lambda: years_from(data.get("years", {}), f"{pointer}/years"))
    qualifier = None
    if "qualifier" in data:
        qualifier = problems.keep(lambda: qualifier_from(data["qualifier"], f"{pointer}/qualifier"))
    sold = [
        problems.keep(lambda s=item, i=i: sold_with_from(s, f"{pointer}/sold_with/{i}"))  # type: ignore[misc]
        for i, item in enumerate(data.get("sold_with", ()))
    ]
    found = tuple(s for s in sold if s is not None)
    if len({s.frame for s in found}) != len(found):
        frames = [s.frame for s in found]
        problems.add(f"{pointer}/sold_with", "named_twice", "a frame is named twice", frames, "each frame once")
    state = record_state_from(data, pointer, "shock", SHOCK_RECORDS, problems)
    problems.raise_any()
    assert shock_id is not None and years is not None
    return Shock(
        shock_id, make, model, state.record, years, qualifier, found, state.into, state.withdrawn_on, state.why
    )


def shock_json(shock: Shock) -> dict[str, Any]:
    """Return the JSON form of a shock's record fields, without make, model and subjects."""
    found: dict[str, Any] = {"id": shock.id, **record_state_json(shock), "years": years_json(shock.years)}
    if shock.qualifier is not None:
        found["qualifier"] = qualifier_json(shock.qualifier)
    if shock.sold_with:
        found["sold_with"] = [sold_with_json(s) for s in shock.sold_with]
    return found


def sold_with_json(sold: SoldWith) -> dict[str, Any]:
    """Return the JSON form of what is in the box."""
    return {"frame": sold.frame, "ends": list(sold.ends), "source": source_json(sold.source)}
