"""JSON forms of sources, claims and decisions, both ways (see records.py for the manner)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any, Final

from boltspan.domain import instruments
from boltspan.domain.claims import Claim
from boltspan.domain.eyelet_readings import check_eyelet
from boltspan.domain.features import EYELET_PARTS, FRAME_PARTS
from boltspan.domain.fields import date_from, text_from, years_from, years_json
from boltspan.domain.ids import RULE_AUTHOR, check_id
from boltspan.domain.lengths import length
from boltspan.domain.problems import Problems
from boltspan.domain.review import RULINGS, Decision
from boltspan.domain.ruling_reasons import REFUSAL_REASONS
from boltspan.domain.shock_values import SIZES
from boltspan.domain.shocks import Shock
from boltspan.domain.sources import KINDS, MOST_DOCUMENT, MOST_READINGS, Measurement, Source, check_url, document_of
from boltspan.domain.subjects import Record, value_of_subject
from boltspan.domain.values import SHOCK_SIZE, value_json

MOST_QUOTE: Final = 500
_NEEDS: Final = {"settle": {"value", "rests_on"}, "refuse_claims": {"refuses"}, "reverse": {"reverses"}}


def source_from(
    data: Mapping[str, Any],
    pointer: str = "",
    *,
    by: str | None = None,
    parts: Mapping[str, tuple[str, ...]] = FRAME_PARTS,
) -> Source:
    """Return the source in ``data``. ``by`` is the person when the sender is known and does not state it.

    ``parts`` are those that can be measured here, with their features.

    A document source needs ``document`` or ``url`` (the document is then named after the address) or, for a maker's
    reply, at least a document such as the call's date. A measured one needs instrument, features and readings, and
    nothing else has them.
    """
    problems = Problems()
    kind = data.get("kind")
    if kind not in KINDS:
        problems.add(f"{pointer}/kind", "unknown_source", "this is no kind of source", kind, ", ".join(KINDS))
        problems.raise_any()
    person = by or problems.keep(lambda: check_id("person", data.get("by"), f"{pointer}/by"))
    seen_on = problems.keep(lambda: date_from(data.get("seen_on"), f"{pointer}/seen_on"))
    texts: dict[str, str | None] = {}
    for key, most in (("document", MOST_DOCUMENT), ("page", 60), ("quote", MOST_QUOTE)):
        if key in data:
            texts[key] = problems.keep(lambda k=key, m=most: text_from(data[k], f"{pointer}/{k}", m))  # type: ignore[misc]
    url = problems.keep(lambda: check_url(str(data["url"]), f"{pointer}/url")) if "url" in data else None
    measurement = None
    if kind == "measured":
        measurement = problems.keep(lambda: measurement_from(data, pointer, parts))
    else:
        for key in ("instrument", "features", "readings_mm"):
            if key in data:
                problems.add(
                    f"{pointer}/{key}",
                    "field_not_taken",
                    f"a source of kind {kind} has no {key}",
                    data[key],
                    "only with kind measured",
                )
    document = texts.get("document") or (document_of(url) if url else None)
    if kind not in ("measured", "fitted") and document is None and not problems.found:
        problems.add(
            f"{pointer}/document",
            "document_missing",
            "the document is not named",
            None,
            "document (such as an address, a file's hash, the date of a call) or url",
        )
    problems.raise_any()
    assert person is not None and seen_on is not None
    return Source(str(kind), person, seen_on, document, url, texts.get("page"), texts.get("quote"), measurement)


def measurement_from(
    data: Mapping[str, Any], pointer: str, parts: Mapping[str, tuple[str, ...]] = FRAME_PARTS
) -> Measurement:
    """Return the measurement in a source's ``data``: instrument, features and readings_mm of some of ``parts``."""
    problems = Problems()
    instrument = data.get("instrument", {})
    if instrument.get("kind") not in instruments.KINDS:
        problems.add(
            f"{pointer}/instrument/kind",
            "unknown_instrument",
            "this is no kind of instrument",
            instrument.get("kind"),
            ", ".join(instruments.KINDS),
        )
    resolution = problems.keep(lambda: length(instrument.get("resolution_mm"), f"{pointer}/instrument/resolution_mm"))
    features, readings = data.get("features", {}), data.get("readings_mm", {})
    found: dict[str, tuple[Decimal, ...]] = {}
    for key, named in (("features", features), ("readings_mm", readings)):
        for part in (p for p in named if p not in parts):
            problems.add(f"{pointer}/{key}/{part}", "unknown_part", "this is not measured here", part, ", ".join(parts))
    for part, known in parts.items():
        if (part in features) != (part in readings):
            problems.add(
                f"{pointer}/readings_mm/{part}",
                "feature_and_readings",
                "readings go with the feature that was measured",
                sorted(readings),
                f"{part} in both features and readings_mm, or in neither",
            )
        if part in features and features[part] not in known:
            problems.add(
                f"{pointer}/features/{part}",
                "unknown_feature",
                f"this is no feature of the {part}",
                features[part],
                ", ".join(known),
            )
        given = readings.get(part, [])
        if part in readings and not 1 <= len(given) <= MOST_READINGS:
            problems.add(
                f"{pointer}/readings_mm/{part}",
                "bad_count",
                "readings are missing or too many",
                len(given),
                f"1 to {MOST_READINGS}",
            )
        kept = [
            problems.keep(lambda r=r, i=i, p=part: length(r, f"{pointer}/readings_mm/{p}/{i}"))  # type: ignore[misc]
            for i, r in enumerate(given)
        ]
        found[part] = tuple(r for r in kept if r is not None)
    if not readings and not problems.found:
        accepted = ", ".join(parts)
        problems.add(f"{pointer}/readings_mm", "readings_missing", "a measurement has readings", None, accepted)
    problems.raise_any()
    assert resolution is not None
    taken: dict[str, Any] = {f"{part}_feature": features[part] for part in features}
    taken |= {f"{part}_readings_mm": readings_mm for part, readings_mm in found.items()}
    return Measurement(instrument["kind"], resolution, **taken)


def source_json(source: Source) -> dict[str, Any]:
    """Return the JSON form of a source."""
    parts = {
        "kind": source.kind,
        "document": source.document,
        "url": source.url,
        "page": source.page,
        "seen_on": source.seen_on,
        "by": source.by,
        "quote": source.quote,
    }
    found: dict[str, Any] = {k: v for k, v in parts.items() if v is not None}
    if (m := source.measurement) is not None:
        found["instrument"] = {"kind": m.instrument, "resolution_mm": m.resolution_mm}
        found["features"] = {part: feature for part, feature, _ in m.parts}
        found["readings_mm"] = {part: list(readings) for part, _, readings in m.parts}
    return found


def claim_from(record: Record, subject: str, data: Mapping[str, Any], pointer: str = "") -> Claim:
    """Return the claim in ``data`` about ``subject`` of ``record``, every problem told at once.

    Only a measured claim may come without a value.
    """
    problems = Problems()
    claim_id = problems.keep(lambda: check_id("claim", data.get("id"), f"{pointer}/id"))
    parts = EYELET_PARTS if isinstance(record, Shock) else FRAME_PARTS
    source = problems.keep(lambda: source_from(data.get("source", {}), f"{pointer}/source", parts=parts))
    value = years = on = why = None
    if "value" in data:
        value = problems.keep(lambda: value_of_subject(record, subject, data["value"], f"{pointer}/value"))
    elif source is not None and source.kind != "measured":
        problems.add(
            f"{pointer}/value",
            "value_missing",
            "the claim says nothing",
            None,
            "a value; only a measured claim may leave it out",
        )
    if "years" in data:
        years = problems.keep(lambda: years_from(data["years"], f"{pointer}/years"))
    if source is not None and source.kind == "measured" and subject in (SHOCK_SIZE, SIZES):
        problems.add(
            f"{pointer}/source/kind",
            "not_measured_here",
            "readings are of bolts, widths and eyelets; a shock's length and stroke are read off the shock or a page",
            "measured",
            "any other kind of source",
        )
    elif source is not None and source.measurement is not None and isinstance(record, Shock):
        check_eyelet(source.measurement, value, pointer, problems)
    if "withdrawn" in data:
        on = problems.keep(lambda: date_from(data["withdrawn"].get("on"), f"{pointer}/withdrawn/on"))
        why = problems.keep(lambda: text_from(data["withdrawn"].get("why"), f"{pointer}/withdrawn/why", 500))
    gave_way_on = gave_way_to = None
    if "superseded" in data:
        gave = data["superseded"]
        gave_way_on = problems.keep(lambda: date_from(gave.get("on"), f"{pointer}/superseded/on"))
        gave_way_to = problems.keep(lambda: check_id("claim", gave.get("by"), f"{pointer}/superseded/by"))
    if data.get("reviewed", False) is not False:
        problems.add(f"{pointer}/reviewed", "only_false", "a reviewed claim does not say so", data["reviewed"], "false")
    problems.raise_any()
    assert claim_id is not None and source is not None
    waits = "reviewed" in data
    state = "withdrawn" if on else "superseded" if gave_way_on else "submitted" if waits else "accepted"
    return Claim(
        claim_id, record.id, subject, source, value, years, on, why, state,
        superseded_on=gave_way_on, superseded_by=gave_way_to, unreviewed=waits,
    )  # fmt: skip


def claim_json(claim: Claim) -> dict[str, Any]:
    """Return the JSON form of a claim as it stands in a file."""
    found: dict[str, Any] = {"id": claim.id}
    if claim.value is not None:
        found["value"] = value_json(claim.value)
    if claim.years is not None:
        found["years"] = years_json(claim.years)
    found["source"] = source_json(claim.source)
    if claim.withdrawn_on is not None:
        found["withdrawn"] = {"on": claim.withdrawn_on, "why": claim.withdrawn_why}
    if claim.superseded_on is not None:
        found["superseded"] = {"on": claim.superseded_on, "by": claim.superseded_by}
    if claim.state == "submitted":
        found["reviewed"] = False
    return found


def decision_from(record: Record, subject: str, data: Mapping[str, Any], pointer: str = "") -> Decision:
    """Return the decision in ``data`` on ``subject`` of ``record``; each ruling has just the fields it needs."""
    problems = Problems()
    decision_id = problems.keep(lambda: check_id("decision", data.get("id"), f"{pointer}/id"))
    on = problems.keep(lambda: date_from(data.get("on"), f"{pointer}/on"))
    why = problems.keep(lambda: text_from(data.get("why"), f"{pointer}/why", 500))
    by = data.get("by")
    if by != RULE_AUTHOR:
        by = problems.keep(lambda: check_id("person", data.get("by"), f"{pointer}/by"))
    ruling = data.get("ruling")
    if ruling not in RULINGS:
        problems.add(f"{pointer}/ruling", "unknown_ruling", "this is no ruling", ruling, ", ".join(RULINGS))
        problems.raise_any()
    needs = _NEEDS.get(str(ruling), set())
    for key in ("value", "rests_on", "overrules", "refuses", "reverses"):
        optional = key in needs or (key == "overrules" and ruling == "settle")
        if key in needs and not data.get(key):
            problems.add(f"{pointer}/{key}", "field_missing", f"a ruling {ruling} needs {key}", None, key)
        if key in data and not optional:
            problems.add(
                f"{pointer}/{key}",
                "field_not_taken",
                f"a ruling {ruling} has no {key}",
                data[key],
                ", ".join(sorted(needs)) or "no such field",
            )
    value = None
    if "value" in data:
        value = problems.keep(lambda: value_of_subject(record, subject, data["value"], f"{pointer}/value"))
    rests_on, overrules, refuses = (
        _claim_ids(data.get(key, ()), f"{pointer}/{key}", problems) for key in ("rests_on", "overrules", "refuses")
    )
    reason = data.get("reason")
    if "reason" in data and (ruling != "refuse_claims" or reason not in REFUSAL_REASONS):
        detail = "this is no reason of a refusal" if ruling == "refuse_claims" else f"a ruling {ruling} has no reason"
        problems.add(f"{pointer}/reason", "unknown_reason", detail, reason, ", ".join(REFUSAL_REASONS))
    reverses = None
    if "reverses" in data:
        reverses = problems.keep(lambda: check_id("decision", data["reverses"], f"{pointer}/reverses"))
    problems.raise_any()
    assert decision_id is not None and on is not None and why is not None and by is not None
    return Decision(
        decision_id, record.id, subject, on, by, str(ruling), why, value, rests_on, overrules, refuses, reverses,
        reason=reason,
    )  # fmt: skip


def _claim_ids(given: Sequence[Any], pointer: str, problems: Problems) -> tuple[str, ...]:
    kept = [
        problems.keep(lambda c=c, i=i: check_id("claim", c, f"{pointer}/{i}"))  # type: ignore[misc]
        for i, c in enumerate(given)
    ]
    if len(set(given)) != len(given):
        problems.add(pointer, "named_twice", "a claim is named twice", list(given), "each claim once")
    return tuple(c for c in kept if c is not None)


def decision_json(decision: Decision) -> dict[str, Any]:
    """Return the JSON form of a decision as it stands in a file."""
    found: dict[str, Any] = {"id": decision.id, "on": decision.on, "by": decision.by, "ruling": decision.ruling}
    if decision.value is not None:
        found["value"] = value_json(decision.value)
    for key in ("rests_on", "overrules", "refuses"):
        if named := getattr(decision, key):
            found[key] = list(named)
    if decision.reason is not None:
        found["reason"] = decision.reason
    if decision.reverses is not None:
        found["reverses"] = decision.reverses
    found["why"] = decision.why
    return found
