"""Explaining one end: why the evidence says what it says. Worked out when asked for, with the rates that stand."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from boltspan.domain.by_evidence import PROVISIONAL_P, as_stated
from boltspan.domain.claims import Claim
from boltspan.domain.differences import Beside, mixed_up, why_other
from boltspan.domain.errors import NotFound, Unavailable
from boltspan.domain.explanation import CaliperFigure, CaliperSummary, ClaimWeight, Explanation
from boltspan.domain.explanation_sides import mean_mm, said_value, sides, source_words, value_words
from boltspan.domain.explanation_words import advice, claim_words, weight_words, why
from boltspan.domain.findings import speaking
from boltspan.domain.lengths import plain
from boltspan.domain.mistakes import ADVICE
from boltspan.domain.review import rulings
from boltspan.domain.sources import MAKERS_OWN, Measurement
from boltspan.domain.statement_readings import Statement, statement_of
from boltspan.domain.values import EndValue
from boltspan.domain.weighed import WeighedCandidate
from boltspan.evidence import caliper_widths, summarise_widths
from boltspan.services import snapshots
from boltspan.services.evidence_rows import Row, end_id
from boltspan.services.lookup import check_answers, visible
from boltspan.services.permissions import Actor
from boltspan.services.protocols import StoredFrame, UnitOfWork
from boltspan.services.publishing import findings_of
from boltspan.services.snapshots import Prepared
from boltspan.services.weighing import candidate_from, resolve

_LISTED_P = 0.001
_TOLD_ZERO_MM = 0.05


def explain(actor: Actor, uow: UnitOfWork, frame_id: str, end: str) -> tuple[StoredFrame, Explanation]:
    """Return the frame and why the evidence says what it says of one of its ends.

    The summary of caliper widths, with each person's zero error, is there for those who may see reviews alone.
    Raises NotFound for an unknown frame or an end that it has not, Moved and Gone as the frame's answer does,
    Unavailable before anything was weighed.
    """
    stored = visible(uow, actor, frame_id)
    check_answers(stored.frame)
    if end not in stored.frame.ends:
        raise NotFound("end of that frame", end)
    ready = snapshots.current(uow)
    if ready is None:
        raise Unavailable("nothing was weighed yet; start the service once")
    frame = stored.frame
    claims, decisions = uow.statements.claims(frame_id), uow.statements.decisions(frame_id)
    own = uow.weighed.of_frames(ready.id, [frame_id])
    rows, results = resolve([frame], {frame_id: claims}, {frame_id: decisions}, ready, own)
    ruled = [d for d in decisions if d.subject == end]
    said = speaking(frame, [c for c in claims if c.subject == end], ruled)
    standing = rulings(ruled).standing
    trusted = "see_reviews" in actor.may
    found = _explanation(
        _Case(
            stored, end, [statement_of(c) for c in said], ready,
            Beside(_other_end(stored, end, results), _other_years(uow, stored, end)), trusted,
        ),
        results[end_id(frame_id, end)],
        standing.value if standing is not None and isinstance(standing.value, EndValue) else None,
    )  # fmt: skip
    if trusted:
        mine = [row for row in rows if row["end_id"] == end_id(frame_id, end)]
        found = _with_calipers(found, mine, ready)
    return stored, found


@dataclass(frozen=True, slots=True)
class _Case:
    """One end with what is said of it; ``trusted`` tells whether the reader may see what is known of instruments."""

    stored: StoredFrame
    end: str
    statements: Sequence[Statement]
    ready: Prepared
    beside: Beside
    trusted: bool


def _other_end(stored: StoredFrame, end: str, results: Mapping[str, Mapping[str, Any]]) -> EndValue | None:
    """Return the likeliest value of the frame's other end, None when nobody speaks for it."""
    other = next(e for e in stored.frame.ends if e != end)
    best = next(iter(results[end_id(stored.frame.id, other)]["candidates"]), None)
    return candidate_from(best).value if best is not None and best["claims"] else None


def _other_years(uow: UnitOfWork, stored: StoredFrame, end: str) -> tuple[tuple[str, EndValue], ...]:
    """Return what other listed frames of the model have at this end, with their years."""
    frame = stored.frame
    every = uow.catalogue.frames_of(frame.make, frame.model)
    others = [s.frame for s in every if s.listed and s.frame.live and s.frame.id != frame.id and end in s.frame.ends]
    return tuple(
        (f"{other.years.start} {'on' if other.years.end is None else f'to {other.years.end}'}", finding.value)
        for other, findings in zip(others, findings_of(uow, others).values(), strict=True)
        for finding in findings
        if finding.subject == end and isinstance(finding.value, EndValue)
    )


def _explanation(case: _Case, result: Mapping[str, Any], settled: EndValue | None) -> Explanation:
    frame, end, statements, ready = case.stored.frame, case.end, case.statements, case.ready
    first, second = (
        _as_stated(candidate_from(c), statements) for c in result.get("compared", result["candidates"])[:2]
    )
    candidates = [_as_stated(candidate_from(c), statements) for c in result["candidates"]]
    by_id = {s.claim.id: s for s in statements}
    weights = tuple(
        _weight(case, by_id[w["claim_id"]], float(w["log10_odds"]), first, second) for w in result["weights"]
    )
    found = Explanation(
        frame=frame.id,
        end=end,
        outcome=str(result["outcome"]),
        first=first,
        second=second,
        prior_log10_odds=float(result["prior_log10_odds"]),
        other_end_log10_odds=float(result["other_end_log10_odds"]),
        weights=weights,
        candidates=tuple(c for place, c in enumerate(candidates) if c.p >= _LISTED_P or place < 2),
        split_probability=float(result["split_probability"]),
        witnesses=int(result["witnesses"]),
        measurement_value=float(result["measurement_value"]),
        why=(),
        advice=(),
        model_version=ready.rates.model_version,
        snapshot=ready.id,
        settled=settled,
        sides=sides(statements, first, candidates),
    )
    return replace(found, why=why(found), advice=advice(found, case.beside.other_end))


def _as_stated(candidate: WeighedCandidate, statements: Sequence[Statement]) -> WeighedCandidate:
    return replace(candidate, value=as_stated(candidate.value, statements))


def _weight(
    case: _Case, statement: Statement, log10_odds: float, first: WeighedCandidate, second: WeighedCandidate
) -> ClaimWeight:
    claim = statement.claim
    speaker, says = _statement_words(claim)
    shared = sum(s.claim.source.witness == claim.source.witness for s in case.statements)
    remarks = _remarks(case, statement, first, second)
    words = claim_words(speaker, says, weight_words(log10_odds, first.value, second.value), remarks)
    return ClaimWeight(
        claim.id, claim.source.kind, claim.source.by, claim.source.seen_on, log10_odds, words,
        shared_by=shared, **_figures(claim, case.ready),
    )  # fmt: skip


def _remarks(case: _Case, statement: Statement, first: WeighedCandidate, second: WeighedCandidate) -> list[str]:
    """Return what is behind a claim's word: a likely mistake, a coarse tool, a share in one voice."""
    claim, measurement, remarks = statement.claim, statement.claim.source.measurement, []
    if claim.id not in first.claims:
        remarks += _reason(case, statement, first.value)
    elif first.p < PROVISIONAL_P and claim.id not in second.claims and second.claims:
        remarks += _otherwise(case, statement, first.value, second.value)
    elif _is_coarse(measurement) and claim.id in second.claims and first.value.width_mm != second.value.width_mm:
        remarks.append("it is too coarse for so small a difference")
    zero_mm = case.ready.rates.offsets_mm.get(claim.source.by, 0.0)
    if measurement is not None and not _is_coarse(measurement) and abs(zero_mm) >= _TOLD_ZERO_MM:
        much = f"reads {abs(zero_mm):.2f} too {'much' if zero_mm > 0 else 'little'} elsewhere, which is taken off"
        remarks.append(f"this caliper {much}" if case.trusted else "what is known of this caliper's zero is taken off")
    return remarks + _company(claim, [s.claim for s in case.statements])


def _reason(case: _Case, statement: Statement, right: EndValue) -> list[str]:
    measurement = statement.claim.source.measurement
    old_hardware = measurement is not None and measurement.width_feature == "hardware_width"
    kind = statement.claim.source.kind
    reason = why_other(said_value(statement), right, kind, case.beside, hardware_width=old_hardware)
    if statement.mistake is not None and (reason is None or reason.startswith("no usual")):
        reason = ADVICE[statement.mistake].partition(".")[0].replace("This is", "this is", 1)
    return [] if reason is None else [reason]


def _otherwise(case: _Case, statement: Statement, first: EndValue, second: EndValue) -> list[str]:
    """Return what may be behind a claim for the likelier value, were the other one right: neither is sure yet."""
    if first.mount == second.mount:
        reasons = _reason(case, statement, second)
    else:
        mixed = mixed_up(said_value(statement), second, statement.claim.source.kind, case.beside)
        reasons = [] if mixed is None else [mixed]
    return [f"if {value_words(second)} is right: {reason}" for reason in reasons]


def _company(claim: Claim, claims: Sequence[Claim]) -> list[str]:
    """Return whom a claim shares its weight with: claims of its document, else others by the same person."""
    alike = sum(c.source.witness == claim.source.witness for c in claims)
    by_one = sum(c.source.by == claim.source.by for c in claims)
    told = []
    if alike > 1 and claim.source.measurement is None and claim.source.kind != "fitted":
        told.append(f"one of {alike} claims from one document, which count once")
    elif by_one > 1:
        told.append(f"one of {by_one} claims that one person brought, so each weighs less")
    makers = (c for c in claims if c.source.kind in MAKERS_OWN)
    if claim.source.kind == "retailer_chart" and any(c.value == claim.value for c in makers):
        told.append("it may be copied from the maker's word, and is then no second voice")
    return told


def _is_coarse(measurement: Measurement | None) -> bool:
    return measurement is not None and not measurement.instrument.endswith("caliper")


_FEATURES = {
    "thread_crest": "over the bolt's thread",
    "shank": "over the bolt's plain part",
    "sleeve_bore": "in the pin's bore",
    "tab_gap": "between the tabs",
    "hardware_width": "over the old hardware",
}


def _statement_words(claim: Claim) -> tuple[str, str]:
    """Return who speaks, and the rest of the sentence: what they say."""
    measurement, value = claim.source.measurement, claim.value
    if measurement is None:
        said = value_words(value) if isinstance(value, EndValue) else "something else"
        if claim.source.kind == "fitted":
            return "somebody", f"fitted {said} and it went in"
        return source_words(claim.source.kind), f"says {said}"
    parts = []
    for readings, feature in (
        (measurement.bolt_readings_mm, measurement.bolt_feature),
        (measurement.width_readings_mm, measurement.width_feature),
    ):
        if (mean := mean_mm(readings)) is not None:
            several = f" (mean of {len(readings)})" if len(readings) > 1 else ""
            parts.append(f"{plain(mean)}{several} {_FEATURES.get(str(feature), '')}".strip())
    return source_words("measured", measurement.instrument), "reads " + " and ".join(parts)


def _figures(claim: Claim, ready: Prepared) -> dict[str, Any]:
    """Return a claim's numbers to be drawn: what it states, or the mean of its readings with its uncertainty."""
    measurement, value = claim.source.measurement, claim.value
    stated = value if isinstance(value, EndValue) else EndValue()
    if measurement is None:
        sizes = {"bolt_mm": stated.bolt_mm, "width_mm": stated.width_mm}
        found: dict[str, Any] = {name: float(size) for name, size in sizes.items() if size is not None}
    else:
        found = {}
        for name, readings in (("bolt", measurement.bolt_readings_mm), ("width", measurement.width_readings_mm)):
            if readings:
                found[f"{name}_mm"] = float(sum(readings, Decimal(0)) / len(readings))
                found[f"{name}_sd_mm"] = _uncertainty(measurement, len(readings), ready)
    return found | {"mount": stated.mount or "hardware"}


def _uncertainty(measurement: Measurement, readings: int, ready: Prepared) -> float:
    """Return the standard uncertainty of a mean of readings, mm: what repeating does not help, and what it does."""
    tool = ready.model.parameters.instruments["ruler" if _is_coarse(measurement) else "caliper"]
    return math.hypot(tool.systematic_sd_mm, tool.repeat_sd_mm / math.sqrt(readings))


def _with_calipers(said: Explanation, rows: Sequence[Row], ready: Prepared) -> Explanation:
    """Return the explanation with one figure for each person's calipers, and all of them as one."""
    offsets = ready.rates.offsets_mm
    figures = caliper_widths(list(rows), offsets, ready.model.parameters)
    if not figures:
        return said
    summary = summarise_widths([f.width_mm for f in figures], [f.uncertainty_mm for f in figures])
    return replace(
        said,
        calipers=tuple(
            CaliperFigure(f.contributor, f.width_mm, f.uncertainty_mm, f.readings, offsets.get(f.contributor, 0.0))
            for f in figures
        ),
        caliper_summary=CaliperSummary(
            summary.mean_mm, summary.standard_uncertainty_mm, summary.enlarged_uncertainty_mm, summary.birge_ratio
        ),
    )
