"""Weighing frames: whoever changes what a frame's answer rests on has it weighed again in the same transaction.

What comes out is stored and only looked up when asked for.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from functools import lru_cache
from typing import Any, Final

from boltspan.domain.claims import Claim
from boltspan.domain.frames import Frame
from boltspan.domain.review import Decision, rulings
from boltspan.domain.values import EndValue, Value
from boltspan.domain.weighed import Weighed, WeighedCandidate, same_end
from boltspan.evidence import Shortlist, resolve_frame
from boltspan.services import snapshots
from boltspan.services.evidence_rows import Row, claim_rows, end_id, end_rows
from boltspan.services.heap import settled_heap
from boltspan.services.protocols import StoredWeighed, UnitOfWork
from boltspan.services.snapshots import BATCH, Prepared

LEAST_UNNAMED_P: Final = 0.005
LEAST_P: Final = 5e-5
"""Candidates are kept down to the first when no claim goes with them, to the second when one does: below it a
probability is shown as 0 (judgement)."""

WeighedEnds = Mapping[str, Weighed]
"""What is weighed of one frame, by end."""


def weighed_of(uow: UnitOfWork, frame_ids: Sequence[str], snapshot: str | None = None) -> dict[str, WeighedEnds]:
    """Return what is weighed of each frame as it stands stored, by frame and end.

    It is that of a ``snapshot``, by default the one that answers rest on.
    """
    current = snapshot or uow.settings.get(snapshots.CURRENT)
    if current is None:
        return {frame_id: {} for frame_id in frame_ids}
    return {
        frame_id: {row.subject: row.weighed for row in rows if row.weighed is not None}
        for frame_id, rows in uow.weighed.of_frames(current, frame_ids).items()
    }


def reweigh(uow: UnitOfWork, frame_ids: Iterable[str], snapshot: Prepared | None = None) -> None:
    """Weigh these frames anew with the stored rates of ``snapshot``, by default the one that answers rest on.

    A database without any gets one with the rates of the parameters. Of records that answer no more, what was weighed
    is dropped; unknown ids are passed over. Memory holds a batch of frames.
    """
    wanted = sorted(set(frame_ids))
    if not wanted:
        return
    ready = snapshot or snapshots.current(uow) or _first(uow)
    for start in range(0, len(wanted), BATCH):
        some = wanted[start : start + BATCH]
        stored = [s for s in uow.catalogue.frames(some) if s.frame.live]
        ids = [s.frame.id for s in stored]
        uow.weighed.drop(sorted(set(some) - set(ids)))
        claims, decisions = uow.statements.claims_of_frames(ids), uow.statements.decisions_of_frames(ids)
        before = uow.weighed.of_frames(ready.id, ids)
        found = weigh([s.frame for s in stored], claims, decisions, ready, before)
        sequences = {s.frame.id: s.sequence for s in stored}
        own = {(row.frame, row.subject): row.own for rows in before.values() for row in rows}
        uow.weighed.put(
            StoredWeighed(
                ready.id, s.frame.id, end, sequences[s.frame.id], own.get((s.frame.id, end), {}),
                found[s.frame.id].get(end),
            )
            for s in stored
            for end in s.frame.ends
        )  # fmt: skip


def _first(uow: UnitOfWork) -> Prepared:
    """Make the snapshot of a database in which nothing was weighed yet: the parameters' own rates."""
    return use(uow, snapshots.make(uow, _day(uow), empty=True).id)


def weigh_all(uow: UnitOfWork) -> None:
    """Learn the rates of all records and weigh every frame with them; answers rest on them from here on.

    Memory holds a portion of the claims while learning, and a batch of frames while weighing.
    """
    ready = use(uow, snapshots.make(uow, _day(uow)).id)
    with settled_heap():
        while waiting := uow.weighed.waiting(ready.id, BATCH):
            reweigh(uow, waiting, ready)


def use(uow: UnitOfWork, snapshot_id: str) -> Prepared:
    """Let answers rest on a stored snapshot, and return it ready for use; what other snapshots left is dropped."""
    uow.settings.put(snapshots.CURRENT, snapshot_id)
    uow.weighed.keep_only(snapshot_id)
    ready = snapshots.prepared(uow, snapshot_id)
    assert ready is not None, "a snapshot in use is stored"
    return ready


def _day(uow: UnitOfWork) -> str:
    """Return the day of the last event, the same wherever the same records are; empty without any event."""
    last = uow.events.last()
    events = uow.events.page(last - 1, 1) if last else []
    return events[0].at[:10] if events else ""


def weigh(
    frames: Sequence[Frame],
    claims: Mapping[str, Sequence[Claim]],
    decisions: Mapping[str, Sequence[Decision]],
    ready: Prepared,
    own: dict[str, list[StoredWeighed]],
) -> dict[str, dict[str, Weighed]]:
    """Return what the evidence says of each frame's ends on which somebody spoke or ruled, by frame and end.

    ``claims`` and ``decisions`` are those of each frame; ``own`` is what is stored of the frames under the snapshot.
    """
    every = {frame.id: {end: _ruled(decisions[frame.id], end) for end in frame.ends} for frame in frames}
    settled = (end_id(of, end) for of, ruled in every.items() for end, value in ruled.items() if value is not None)
    shortlist = Shortlist(LEAST_P, LEAST_UNNAMED_P, frozenset(settled))
    rows, results = resolve(frames, claims, decisions, ready, own, shortlist)
    spoken = {row["end_id"] for row in rows} | shortlist.in_full
    return {
        of: {
            end: weighed_from(results[end_id(of, end)], ready, value)
            for end, value in ruled.items()
            if end_id(of, end) in spoken
        }
        for of, ruled in every.items()
    }


def resolve(
    frames: Sequence[Frame],
    claims: Mapping[str, Sequence[Claim]],
    decisions: Mapping[str, Sequence[Decision]],
    ready: Prepared,
    own: dict[str, list[StoredWeighed]],
    shortlist: Shortlist | None = None,
) -> tuple[list[Row], dict[str, Mapping[str, Any]]]:
    """Return the claims as the evidence reads them, and its result for each end of the frames by the end's id.

    The arguments are those of ``weigh``; a ``shortlist`` leaves out candidates of no interest.
    """
    ends = [row for frame in frames for row in end_rows(frame)]
    rows = [row for frame in frames for row in claim_rows(frame, claims[frame.id], decisions[frame.id])]
    rates = snapshots.with_own(ready.rates, own)
    answer = resolve_frame(ends, rows, ready.model, rates, supported=True, shortlist=shortlist)
    return rows, {result["end_id"]: result for result in answer["results"]}


def _ruled(decisions: Sequence[Decision], end: str) -> Value | None:
    standing = rulings([d for d in decisions if d.subject == end]).standing
    return standing.value if standing is not None else None


def weighed_from(result: Mapping[str, Any], ready: Prepared, ruled: Value | None) -> Weighed:
    """Return a result of the evidence as plain figures; candidates that nobody speaks of are kept when likely.

    A value that is ``ruled`` is kept whatever its probability, so that a settled value can say it.
    """
    return Weighed(
        str(result["outcome"]),
        tuple(_kept(result["candidates"], ruled)),
        float(result["split_probability"]),
        int(result["witnesses"]),
        ready.rates.model_version,
        ready.id,
    )


def candidate_from(written: Mapping[str, Any]) -> WeighedCandidate:
    """Return a candidate of a result with its probability and the claims that go with it."""
    return WeighedCandidate(value_from_result(written), float(written["p"]), tuple(written.get("claims", ())))


def _kept(written: Iterable[Mapping[str, Any]], ruled: Value | None) -> Iterator[WeighedCandidate]:
    for candidate in written:
        likely = candidate["p"] >= (LEAST_P if candidate["claims"] else LEAST_UNNAMED_P)
        if likely or (isinstance(ruled, EndValue) and same_end(ruled, value_from_result(candidate))):
            yield candidate_from(candidate)


def value_from_result(result: Mapping[str, Any]) -> EndValue:
    """Return a candidate's value; sizes as exact decimals of what the evidence writes."""
    return _value(result["mount"], result.get("bolt_mm"), result.get("width_mm"))


@lru_cache(maxsize=4096)  # the same few hundred values come back for every end
def _value(mount: str, bolt_mm: float | None, width_mm: float | None) -> EndValue:
    return EndValue(mount, _plain(bolt_mm), _plain(width_mm))


def _plain(size_mm: float | None) -> Decimal | None:
    """Return a size as a decimal without exponent: 30, not 3E+1."""
    if size_mm is None:
        return None
    size = Decimal(repr(size_mm)).normalize()
    return size.quantize(Decimal(1)) if size == size.to_integral() else size
