"""Keeps the published answers in step: whoever changes a frame calls ``republish`` in the same transaction.

An answer is encoded once, when something changes, and only looked up when asked for.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from boltspan.domain.claims import Claim
from boltspan.domain.findings import Finding, find
from boltspan.domain.frames import Frame, Make, Model
from boltspan.domain.review import Decision
from boltspan.domain.subjects import Record, kind_of
from boltspan.services.answers import ANSWERS_VERSION, encode, etag, frame_answer, year_answer
from boltspan.services.protocols import Encoded, StoredFrame, UnitOfWork
from boltspan.services.snapshots import CURRENT
from boltspan.services.weighing import WeighedEnds, reweigh, weigh_all, weighed_of

BATCH: Final = 500
MODELS_AT_ONCE: Final = 50
YEARS_AHEAD: Final = 1
"""A frame still made is published this many years beyond its evidence; later years are answered when asked for."""


def frame_path(frame_id: str) -> str:
    """Return the path that answers for a frame."""
    return f"/v1/frames/{frame_id}"


def year_path(make: str, model: str, year: int) -> str:
    """Return the path that answers for a make, model and year."""
    return f"/v1/makes/{make}/{model}/{year}"


def findings_of(
    uow: UnitOfWork,
    frames: Iterable[Record],
    snapshot: str | None = None,
    said: Mapping[str, Sequence[Claim]] | None = None,
) -> dict[str, list[Finding]]:
    """Return the findings on every subject of each frame or shock, by its id, in the order of its ``subjects``.

    What the evidence says of frames is looked up as it was last weighed with a ``snapshot``, by default the one that
    answers rest on. ``said`` are the claims of these frames, for a caller that has read them already.
    """
    listed = list(frames)
    ids = [f.id for f in listed]
    claims = uow.statements.claims_of_frames(ids) if said is None else said
    decisions = uow.statements.decisions_of_frames(ids)
    weighed = weighed_of(uow, ids, snapshot)
    return {f.id: _findings(f, claims.get(f.id, []), decisions.get(f.id, []), weighed[f.id]) for f in listed}


def _findings(record: Record, said: Sequence[Claim], ruled: Sequence[Decision], weighed: WeighedEnds) -> list[Finding]:
    return [
        find(
            record,
            subject,
            [c for c in said if c.subject == subject],
            [d for d in ruled if d.subject == subject],
            weighed.get(subject),
        )
        for subject in record.subjects
    ]


def republish(uow: UnitOfWork, frame_ids: Iterable[str], left: Iterable[tuple[str, str]] = ()) -> None:
    """Weigh these frames, compute findings and encode the answers of them and of their models' years anew.

    ``left`` are models (make and model slug) that a frame belongs to no more. Unknown ids are passed over, and so
    are shocks, whose answers are worked out when asked for.
    """
    wanted = sorted({i for i in frame_ids if kind_of(i) == "frame"})
    reweigh(uow, wanted)
    encode_frames(uow, wanted, left)


def encode_frames(uow: UnitOfWork, wanted: Sequence[str], left: Iterable[tuple[str, str]] = ()) -> None:
    """Do what ``republish`` does with frames that were weighed already."""
    models = set(left)
    for start in range(0, len(wanted), BATCH):
        models |= {(s.frame.make, s.frame.model) for s in uow.catalogue.frames(wanted[start : start + BATCH])}
    _republish_models(uow, sorted(models), uow.events.last())


def republish_all(uow: UnitOfWork) -> None:
    """Encode every answer anew, as after a change of how answers are written.

    A database in which nothing was weighed yet, as one of an earlier version, is weighed first.
    """
    if uow.settings.get(CURRENT) is None:
        weigh_all(uow)
    uow.published.clear()
    encode_all(uow)
    uow.settings.put("answers_version", ANSWERS_VERSION)


def encode_all(uow: UnitOfWork) -> None:
    """Encode every answer anew, valid since the last event, in place of what is published."""
    _republish_models(uow, [(m.make, m.slug) for m in uow.catalogue.models()], uow.events.last())


def _republish_models(uow: UnitOfWork, models: Sequence[tuple[str, str]], sequence: int) -> None:
    """Encode the answers of these models; what is said of several models' frames is read at once."""
    for start in range(0, len(models), MODELS_AT_ONCE):
        frames = {of: uow.catalogue.frames_of(*of) for of in models[start : start + MODELS_AT_ONCE]}
        findings = findings_of(uow, [s.frame for every in frames.values() for s in _answering(every)])
        for (make_slug, model_slug), every in frames.items():
            make, model = uow.catalogue.make(make_slug), uow.catalogue.model(make_slug, model_slug)
            if make is not None and model is not None:
                _republish_model(uow, make, model, every, findings, sequence)


def _answering(every: Iterable[StoredFrame]) -> list[StoredFrame]:
    return [s for s in every if s.listed and s.frame.live]


def _republish_model(
    uow: UnitOfWork,
    make: Make,
    model: Model,
    every: Sequence[StoredFrame],
    findings: dict[str, list[Finding]],
    sequence: int,
) -> None:
    demo = is_demo(uow)
    answering = _answering(every)
    encoded = []
    for stored in every:
        if stored.frame.id in findings:
            body = encode(frame_answer(stored, make, model, findings[stored.frame.id], demo=demo))
            encoded.append(Encoded(frame_path(stored.frame.id), body, etag(body), sequence))
        else:
            encoded.append(Encoded(frame_path(stored.frame.id), None, "", sequence))
        uow.findings.put(stored.frame.id, findings.get(stored.frame.id, []))
    listed = [s for s in every if s.listed]
    newest = newest_event(uow, make, model, listed)
    years = {y for s in listed for y in _published_years(s.frame, findings.get(s.frame.id, []))}
    paths = {year_path(make.slug, model.slug, y): y for y in years}
    # Years published before may answer otherwise now: the evidence reaches less far, or a record holds fewer years.
    paths |= {p: int(p.rpartition("/")[2]) for p in uow.published.paths(f"/v1/makes/{make.slug}/{model.slug}/")}
    for path, year in sorted(paths.items()):
        # Of a model that is only proposed nothing is published, its name neither.
        known = encode(answer_for_year(make, model, year, answering, findings, newest, demo=demo)) if listed else None
        encoded.append(Encoded(path, known, etag(known) if known is not None else "", sequence))
    uow.published.put(encoded)


def answer_for_year(
    make: Make,
    model: Model,
    year: int,
    answering: Iterable[StoredFrame],
    findings: dict[str, list[Finding]],
    newest: int,
    *,
    demo: bool,
) -> dict[str, object]:
    """Return the answer for one year of a model from its listed, live frames.

    ``newest`` is the model's newest event, which a year without frames follows.
    """
    of_year = [(s, findings[s.frame.id]) for s in answering if s.frame.years.holds(year)]
    return year_answer(make, model, year, of_year, newest, demo=demo)


def newest_event(uow: UnitOfWork, make: Make, model: Model, listed: Iterable[StoredFrame]) -> int:
    """Return the last event that counts for any listed frame of a model; without frames, that of its own record."""
    found = max((s.event for s in listed), default=0)
    if not found:
        record = uow.events.newest_record(f"model/{make.slug}/{model.slug}", uow.events.last())
        found = record.sequence if record is not None else 0
    return found


def is_demo(uow: UnitOfWork) -> bool:
    """Return whether the dataset's records are invented."""
    return uow.settings.get("demo") == "true"


def _published_years(frame: Frame, findings: list[Finding]) -> range:
    last = frame.years.end
    if last is None:
        seen = [f.evidence_to for f in findings if f.evidence_to is not None]
        last = max([frame.years.start, *seen]) + YEARS_AHEAD
    return range(frame.years.start, last + 1)
