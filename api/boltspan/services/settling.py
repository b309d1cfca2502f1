"""The published rule at work: what it says of a subject, carrying it out, and trying it after whatever may let it.

Whoever changes what the rule looks at calls ``let_rule_settle`` (or ``let_rule_settle_all``) last in the same
transaction. What the rule settles is decided then and makes nobody proven, so nothing it does lets it do more but at
the other end of the same frame.
"""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Collection, Iterable, Iterator

from boltspan.domain.acceptance import Acceptance, Situation, judge
from boltspan.domain.by_evidence import may_speak
from boltspan.domain.claims import Claim
from boltspan.domain.contributors import Limits
from boltspan.domain.findings import speaking
from boltspan.domain.frames import Frame
from boltspan.domain.ids import RULE_AUTHOR, mint
from boltspan.domain.review import Decision, rulings
from boltspan.domain.statement_readings import statement_of
from boltspan.domain.subjects import kind_of
from boltspan.services.carrying_out import carry_out
from boltspan.services.cases import RECORD
from boltspan.services.contributors import is_proven, limits_of
from boltspan.services.flags import open_flags
from boltspan.services.protocols import Clock, UnitOfWork
from boltspan.services.weighing import weighed_of

_BATCH = 500


def judged(uow: UnitOfWork, clock: Clock, frame: Frame, subject: str) -> Acceptance:
    """Return what the published rule says of a subject as things stand: the value it settles, or why it does not."""
    limits = limits_of(uow)
    decisions = [d for d in uow.statements.decisions(frame.id) if d.subject == subject]
    of_subject = [c for c in uow.statements.claims(frame.id) if c.subject == subject]
    claims = speaking(frame, of_subject, decisions)
    batched = _batched(uow, claims, limits)
    around = Situation(
        _proven(uow, clock, claims, limits),
        _changed_within_a_day(uow, clock),
        batched,
        batched & {c.id for c in claims if c.state == "submitted"},
        bool(open_flags(uow, frame.id, subject) or open_flags(uow, frame.id, RECORD)),
    )
    weighed = weighed_of(uow, [frame.id])[frame.id].get(subject)
    statements = [statement_of(c) for c in claims]
    if weighed is not None and not may_speak(weighed, statements):
        weighed = None
    return judge(weighed, statements, decisions, around, limits)


def settle_by_rule(uow: UnitOfWork, clock: Clock, frame_id: str, subject: str) -> Decision | None:
    """Settle a subject when the published rule says so, and return the decision; None when it does not.

    Of shocks it settles nothing: the evidence is not weighed there.
    """
    stored = uow.catalogue.frame(frame_id)
    if stored is None or not stored.listed or not stored.frame.live:
        return None
    said = judged(uow, clock, stored.frame, subject)
    if said.held or said.value is None:
        return None
    why = "two proven contributors agree by evidence of their own, and nothing that counts differs"
    decision = Decision(
        mint("decision"), frame_id, subject, clock.today(), RULE_AUTHOR, "settle", why, said.value, said.rests_on
    )
    carry_out(uow, clock, stored, decision)
    return decision


def let_rule_settle(uow: UnitOfWork, clock: Clock, record_ids: Iterable[str], people: Iterable[str] = ()) -> None:
    """Let the rule settle what it may now on these frames, whose answers are in step already.

    Whoever is proven only by claims accepted on them, and each of ``people``, may confirm what they said elsewhere, so
    the rule is tried there too. Shocks are passed over, and so is every subject that the rule has nothing to say about.
    """
    frames = sorted({i for i in record_ids if kind_of(i) == "frame"})
    _try(uow, clock, frames)
    elsewhere = {
        c.frame
        for person in sorted({*people, *_newly_proven(uow, clock, frames)})
        for c in uow.statements.claims_by(person)
        if c.counts and kind_of(c.frame) == "frame"
    }
    _try(uow, clock, sorted(elsewhere - set(frames)))


def let_rule_settle_all(uow: UnitOfWork, clock: Clock) -> None:
    """Let the rule settle what it may now on every frame with an open case, as after a change that touches all."""
    after, frames = None, set[str]()
    while cases := uow.cases.page("open", after, _BATCH):
        frames |= {c.frame for c in cases if kind_of(c.frame) == "frame"}
        after = (cases[-1].rank, cases[-1].sequence, cases[-1].id)
    _try(uow, clock, sorted(frames))


def _try(uow: UnitOfWork, clock: Clock, frame_ids: list[str]) -> None:
    """Try the rule on all ends of the frames; one that it settles changes what is likely at the other end."""
    for start in range(0, len(frame_ids), _BATCH):
        for frame_id, ends in _worth_a_try(uow, frame_ids[start : start + _BATCH]):
            if any(settle_by_rule(uow, clock, frame_id, end) for end in ends):
                ((_, again),) = _worth_a_try(uow, [frame_id])
                for end in again:
                    settle_by_rule(uow, clock, frame_id, end)


def _worth_a_try(uow: UnitOfWork, frame_ids: list[str]) -> Iterator[tuple[str, list[str]]]:
    """Yield each frame with the ends that the evidence decides, nobody has ruled on and two people speak of."""
    said, weighed = uow.statements.claims_of_frames(frame_ids), weighed_of(uow, frame_ids)
    ruled = uow.statements.decisions_of_frames(frame_ids)
    for frame_id in frame_ids:
        decided = [end for end, of_end in sorted(weighed[frame_id].items()) if of_end.outcome == "accept"]
        yield (
            frame_id,
            [
                end
                for end in decided
                if len({c.source.by for c in said[frame_id] if c.subject == end and c.counts}) > 1
                and rulings([d for d in ruled[frame_id] if d.subject == end]).standing is None
            ],
        )


def _newly_proven(uow: UnitOfWork, clock: Clock, frame_ids: list[str]) -> Iterator[str]:
    """Yield the people who are proven, and would not be without what they said on these frames."""
    limits, said = limits_of(uow), uow.statements.claims_of_frames(frame_ids)
    people = {c.source.by for claims in said.values() for c in claims if c.state == "accepted" and c.unreviewed}
    for person in sorted(people):
        if is_proven(uow, person, clock.today(), limits) and not is_proven(
            uow, person, clock.today(), limits, without=frame_ids
        ):
            yield person


def _proven(uow: UnitOfWork, clock: Clock, claims: list[Claim], limits: Limits) -> frozenset[str]:
    people = {c.source.by for c in claims}
    return frozenset(p for p in people if is_proven(uow, p, clock.today(), limits))


def _changed_within_a_day(uow: UnitOfWork, clock: Clock) -> Counter[str]:
    """Return how many values the rule settled on each person's word in the last 24 hours, midnight or not.

    An instant that lies ahead, as after a clock was set back, counts too.
    """
    now = datetime.datetime.fromisoformat(clock.now())
    since = (now - datetime.timedelta(days=1)).strftime("%Y-%m-%dT%H:%M:%S.%fZ")
    decided = [d for day in {since[:10], clock.today()} for d in uow.statements.decisions_by(RULE_AUTHOR, day)]
    instants = uow.events.instants([d.sequence for d in decided])
    recent = [d for d in decided if instants.get(d.sequence, since) >= since]
    said = uow.statements.claims_of_frames(sorted({d.frame for d in recent}))
    found: Counter[str] = Counter()
    for decision in recent:
        found.update({c.source.by for c in said[decision.frame] if c.id in decision.rests_on})
    return found


def _batched(uow: UnitOfWork, claims: Collection[Claim], limits: Limits) -> frozenset[str]:
    """Return the claims whose document says so much that it is reviewed as one."""
    named = [(c.id, c.source.document) for c in claims if c.source.document is not None]
    large = {d for _, d in named if uow.statements.count_of_document(d) >= limits.batch}
    return frozenset(claim for claim, document in named if document in large)
