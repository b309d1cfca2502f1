"""The JSON form of answers. One place, so that the storefront, the release and the pages say the same."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Any, Final

from boltspan.domain import jsontext
from boltspan.domain.cautions import SIZE_CAUTIONS
from boltspan.domain.fields import years_json
from boltspan.domain.findings import Candidate, Finding, for_year
from boltspan.domain.frames import Frame, Make, Model
from boltspan.domain.records import qualifier_json
from boltspan.domain.values import value_json
from boltspan.services.protocols import StoredFrame

ANSWERS_VERSION: Final = "2"
"""Changes whenever the same records would be answered in other bytes; published answers are then encoded anew."""

_PLACES: Final = Decimal("0.0001")
_SUREST: Final = 1 - _PLACES
"""Probabilities are written to four places, the same on every machine, and never as certainty."""


def finding_answer(finding: Finding) -> dict[str, Any]:
    """Return the answer for one subject. What does not apply is absent; so is a confidence that is not earned."""
    found: dict[str, Any] = {"standing": finding.standing, "advice": finding.advice}
    if finding.supply is not None:
        found["supply"] = finding.supply
    if finding.value is not None:
        found["value"] = value_json(finding.value, labelled=True)
    if finding.confidence is not None:
        found["confidence"] = _probability(finding.confidence)
    if finding.contested:
        found["contested"] = True
    basis: dict[str, Any] = {"claims": finding.claims, "independent": finding.independent}
    if finding.decision is not None:
        basis["decision"] = finding.decision
    if finding.evidence_to is not None:
        basis["evidence_to"] = finding.evidence_to
    found["basis"] = basis
    for key, group in (("dissent", finding.dissent), ("candidates", finding.candidates)):
        if group:
            found[key] = [_candidate(c) for c in group]
    if finding.mistakes:
        found["mistakes"] = [{"claim": claim, "code": code} for claim, code in finding.mistakes]
    if finding.checked_on is not None:
        found["checked_on"] = finding.checked_on
    if finding.model_version is not None:
        found["model_version"] = finding.model_version
    if finding.why is not None:
        found["why"] = finding.why
    return found


def _candidate(candidate: Candidate) -> dict[str, Any]:
    found: dict[str, Any] = {"value": value_json(candidate.value, labelled=True)}
    if candidate.p is not None:
        found["p"] = _probability(candidate.p)
    return found | {"claims": list(candidate.claims), "independent": candidate.independent}


def _probability(p: float) -> Decimal:
    return min(Decimal(repr(p)).quantize(_PLACES), _SUREST)


def frame_answer(
    stored: StoredFrame, make: Make, model: Model, findings: Sequence[Finding], *, demo: bool
) -> dict[str, Any]:
    """Return the answer for one live frame: who it is, its shock size and both ends, cautions, and where it stands.

    ``findings`` are those of the frame's subjects in any order.
    """
    frame = stored.frame
    by_subject = {f.subject: finding_answer(f) for f in findings}
    found = frame_head(frame, make, model)
    found["shock_size"] = by_subject["shock_size"]
    found["ends"] = {end: by_subject[end] for end in frame.ends}
    if not stored.listed:
        found["listed"] = False
    return found | {"cautions": list(SIZE_CAUTIONS)} | _stamp(stored.event, demo=demo)


def frame_head(frame: Frame, make: Make, model: Model) -> dict[str, Any]:
    """Return who a frame is: id, record, make, model, years and what tells it apart."""
    found: dict[str, Any] = {
        "id": frame.id,
        "record": frame.record,
        "make": {"slug": make.slug, "name": make.name},
        "model": {"slug": model.slug, "name": model.name},
        "years": years_json(frame.years),
    }
    if frame.qualifier is not None:
        found["qualifier"] = qualifier_json(frame.qualifier)
    return found


def year_answer(
    make: Make,
    model: Model,
    year: int,
    frames: Sequence[tuple[StoredFrame, Sequence[Finding]]],
    newest: int,
    *,
    demo: bool,
) -> dict[str, Any]:
    """Return the answer to "this make and model of that year": every candidate frame and the question between them.

    Beyond the last year of its evidence a settled value is at most provisional. No frame for the year: an empty
    list, which is an answer ("not known"), never a guess from a neighbouring year.
    """
    answered = [
        frame_answer(stored, make, model, [for_year(f, year) for f in findings], demo=demo)
        for stored, findings in frames
    ]
    found: dict[str, Any] = {
        "make": {"slug": make.slug, "name": make.name},
        "model": {"slug": model.slug, "name": model.name},
        "year": year,
        "outcome": outcome(len(answered)),
        "frames": answered,
    }
    if (question := ask([stored.frame for stored, _ in frames])) is not None:
        found["ask"] = question
    followed = max((stored.event for stored, _ in frames), default=newest)
    return found | {"cautions": list(SIZE_CAUTIONS)} | _stamp(followed, demo=demo)


def outcome(count: int) -> str:
    """Return what a look-up came to: unknown (no frame), one, or several (a question tells them apart)."""
    return ("unknown", "one")[count] if count < 2 else "several"


def ask(frames: Sequence[Frame]) -> str | None:
    """Return the question that tells several frames apart, None for fewer than two.

    The qualifiers carry it; frames of different models or years are told apart by those.
    """
    if len(frames) < 2:
        return None
    asks = [f.qualifier.ask for f in frames if f.qualifier is not None]
    if asks:
        return " ".join(dict.fromkeys(asks))
    if len({(f.make, f.model) for f in frames}) > 1:
        return "Which make and model is it?"
    return "Which model year is it?"


def _stamp(sequence: int, *, demo: bool) -> dict[str, Any]:
    """Return where an answer stands: the event it follows, and whether its records are invented."""
    return {"event": sequence} | ({"demo": True} if demo else {})


def encode(answer: dict[str, Any]) -> bytes:
    """Return the bytes an answer is sent as."""
    return jsontext.dumps(answer).encode() + b"\n"


def etag(body: bytes) -> str:
    """Return the strong ETag of a body: the same for the same bytes on every machine, database and day."""
    return f'"{hashlib.sha256(body).hexdigest()[:32]}"'


def years_text(frames: Iterable[Frame]) -> list[dict[str, int]]:
    """Return the years of several frames in order, doubled ones once."""
    spans = sorted({(f.years.start, f.years.end or 0) for f in frames})
    return [{"from": a, "to": b} if b else {"from": a} for a, b in spans]
