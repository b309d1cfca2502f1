"""The JSON and the text form of an explanation."""

from __future__ import annotations

from dataclasses import asdict
from decimal import Decimal
from typing import Any, Final

from boltspan.domain.cautions import CAUTIONS, SIZE_CAUTIONS
from boltspan.domain.drawings.evidence_rows import short_name
from boltspan.domain.explanation import ClaimWeight, Explanation, Side
from boltspan.domain.explanation_sides import value_words
from boltspan.domain.frames import Frame
from boltspan.domain.values import value_json
from boltspan.domain.weighed import WeighedCandidate

_INVENTED: Final = "These records are invented."


def explanation_answer(said: Explanation, *, demo: bool) -> dict[str, Any]:
    """Return an explanation as JSON. Every figure has all its digits, so that the weights add up to the odds."""
    found: dict[str, Any] = {
        "frame": said.frame,
        "end": said.end,
        "outcome": said.outcome,
        "first": _candidate(said.first),
        "second": _candidate(said.second),
        "prior_log10_odds": _exact(said.prior_log10_odds),
        "other_end_log10_odds": _exact(said.other_end_log10_odds),
        "weights": [_weight(w) for w in said.weights],
        "candidates": [_candidate(c) for c in said.candidates],
        "sides": [_side(s) for s in said.sides],
        "split_probability": _exact(said.split_probability),
        "witnesses": said.witnesses,
        "measurement_value": _exact(said.measurement_value),
        "why": list(said.why),
        "advice": list(said.advice),
    }
    if said.settled is not None:
        found["settled"] = value_json(said.settled, labelled=True)
    if said.calipers:
        found["calipers"] = [_figures(asdict(c)) for c in said.calipers]
    if said.caliper_summary is not None:
        found["caliper_summary"] = _figures(asdict(said.caliper_summary))
    found |= {"model_version": said.model_version, "snapshot": said.snapshot, "cautions": list(SIZE_CAUTIONS)}
    return found | ({"demo": True} if demo else {})


def explanation_text(said: Explanation, frame: Frame, title: str, *, demo: bool) -> str:
    """Return an explanation as plain text: what it is about, why, each weight, what would settle it, cautions."""
    years = f"{frame.years.start} {'on' if frame.years.end is None else f'to {frame.years.end}'}"
    lines = [f"{title} {years} ({frame.id}), {said.end}", *([_INVENTED] if demo else []), "", *said.why]
    if said.weights:
        rows = [("before anybody spoke", said.prior_log10_odds), ("the frame's other end", said.other_end_log10_odds)]
        rows += [(f"{short_name(w).lower()} of {w.seen_on} ({w.claim})", w.log10_odds) for w in said.weights]
        rows.append(("together", sum(weight for _, weight in rows)))
        first, second = value_words(said.first.value), value_words(said.second.value)
        lines += ["", f"Weights, as powers of ten for {first} against {second}:"]
        lines += [f"  {weight:+6.1f}  {name}" for name, weight in rows]
    lines += ["", "What would settle it:", *(f"  {a}" for a in said.advice)]
    for c in said.calipers:
        zero = f", zero error {c.zero_error_mm:+.2f} taken off" if c.zero_error_mm else ""
        lines.append(f"Calipers of {c.by}: {c.width_mm:.2f} mm, uncertainty {c.uncertainty_mm:.2f}{zero}")
    if (summary := said.caliper_summary) is not None:
        spread = f"{summary.mean_mm:.2f} mm, uncertainty {summary.enlarged_uncertainty_mm:.2f}"
        lines.append(f"All calipers: {spread}; never part of the probabilities")
    lines += [
        "",
        *(CAUTIONS[code] for code in SIZE_CAUTIONS),
        "",
        f"Model {said.model_version}, snapshot {said.snapshot}",
    ]
    return "\n".join(lines) + "\n"


def _candidate(candidate: WeighedCandidate) -> dict[str, Any]:
    found: dict[str, Any] = {"value": value_json(candidate.value, labelled=True), "p": _exact(candidate.p)}
    return found | ({"claims": list(candidate.claims)} if candidate.claims else {})


def _side(side: Side) -> dict[str, Any]:
    return {"says": value_words(side.value), "voices": side.voices, "claims": list(side.claims)}


def _weight(weight: ClaimWeight) -> dict[str, Any]:
    return _figures(asdict(weight))


def _figures(fields: dict[str, Any]) -> dict[str, Any]:
    """Return the fields that are there, floats as exact decimals."""
    return {k: _exact(v) if isinstance(v, float) else v for k, v in fields.items() if v is not None}


def _exact(figure: float) -> Decimal:
    return Decimal(repr(figure)) if figure else Decimal(0)
