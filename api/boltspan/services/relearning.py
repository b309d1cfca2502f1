"""Learning the evidence's rates anew and weighing everything with them: first beside what stands, then in its place.

What is worked out is a draft, a snapshot of its own with all ends weighed by it. It grows batch by batch, each in a
transaction of its own; after a kill the next run goes on with it. Answers change when it is published, in one
transaction.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import islice
from typing import Final

from boltspan.domain.findings import Finding
from boltspan.services import snapshots
from boltspan.services.answers import finding_answer
from boltspan.services.attention import reason, watch
from boltspan.services.made import touch
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Clock, Storage, StoredFrame, StoredSnapshot, UnitOfWork
from boltspan.services.publishing import encode_all, findings_of
from boltspan.services.settling import let_rule_settle_all
from boltspan.services.snapshots import BATCH, CURRENT, DRAFT
from boltspan.services.weighing import reweigh, use

LEARNT: Final = "evidence_learnt"
CHANGED: Final = "finding_changed"


@dataclass(frozen=True, slots=True)
class FindingChange:
    """The finding on one subject of a frame under the rates that stand and under the new ones.

    ``review`` is the code of why somebody has to look at it, None when nobody has to.
    """

    stored: StoredFrame
    before: Finding
    after: Finding
    review: str | None

    @property
    def told(self) -> bool:
        """Whether more than probabilities change."""
        return _told(self.before) != _told(self.after)


def work_out(actor: Actor, storage: Storage, clock: Clock, progress: Callable[[int, int], None]) -> StoredSnapshot:
    """Learn the rates and weigh every frame with them beside what stands; return the draft's snapshot.

    A draft that a killed run left is gone on with; one that is whole, while records changed since, is made anew.
    ``progress`` is told frames done and all frames. Nobody sees any of it. Raises NotAuthenticated or NotAllowed.
    """
    actor.permitted("learn_evidence")
    with storage.writing() as uow:
        draft = _draft(uow) or _new_draft(uow, clock)
        count = uow.catalogue.count()["frames"]
        waiting = uow.weighed.count_waiting(draft.id)
    while waiting:
        progress(max(count - waiting, 0), count)
        with storage.writing() as uow:
            reweigh(uow, uow.weighed.waiting(draft.id, BATCH), snapshots.prepared(uow, draft.id))
            waiting = uow.weighed.count_waiting(draft.id)
    progress(count, count)
    return draft


def _draft(uow: UnitOfWork) -> StoredSnapshot | None:
    """Return the draft that can be gone on with."""
    draft = uow.snapshots.snapshot(uow.settings.get(DRAFT) or "")
    if draft is None or draft.model_version != snapshots.model_version():
        return None
    unfinished = uow.weighed.count_waiting(draft.id) > 0
    return draft if unfinished or draft.event == uow.events.last() else None


def _new_draft(uow: UnitOfWork, clock: Clock) -> StoredSnapshot:
    current = uow.settings.get(CURRENT)
    uow.weighed.keep_only(current or "")
    draft = snapshots.make(uow, clock.today(), apart_from=current)
    uow.settings.put(DRAFT, draft.id)
    return draft


def changes(uow: UnitOfWork, draft: StoredSnapshot) -> Iterator[FindingChange]:
    """Yield every finding on listed frames that the draft answers otherwise, by make, model and first year."""
    listed = (s for s in uow.catalogue.every_frame() if s.listed and s.frame.live)
    while batch := list(islice(listed, BATCH)):
        frames = [s.frame for s in batch]
        before, after = findings_of(uow, frames), findings_of(uow, frames, draft.id)
        for stored in batch:
            for old, new in zip(before[stored.frame.id], after[stored.frame.id], strict=True):
                if finding_answer(old) != finding_answer(new):
                    yield FindingChange(stored, old, new, reason(old, new))


def publish(actor: Actor, uow: UnitOfWork, clock: Clock, draft: StoredSnapshot) -> int:
    """Let all answers rest on the draft from here on; return how many findings changed in more than probabilities.

    A settled value stays whatever the new rates say; a review is opened where they have left it. The published rule is
    tried on whatever waits. Frames that changed
    while the draft was worked out are weighed again first. All of it in one transaction: nothing is half published.
    Raises NotAuthenticated or NotAllowed.
    """
    person = actor.permitted("learn_evidence")
    reweigh(uow, list(_stale(uow, draft)), snapshots.prepared(uow, draft.id))
    payload = {"snapshot": draft.id, "model_version": draft.model_version}
    uow.events.record(person, LEARNT, payload=payload)
    told = 0
    for change in [c for c in changes(uow, draft) if c.told or c.review is not None]:
        frame = change.stored.frame
        sequence = uow.events.record(person, CHANGED, frame=frame.id, subject=change.after.subject, payload=payload)
        touch(uow, change.stored, sequence)
        watch(uow, clock, frame.id, [change.before], [change.after], sequence)
        told += change.told
    use(uow, draft.id)
    uow.settings.put(DRAFT, "")
    encode_all(uow)
    let_rule_settle_all(uow, clock)
    return told


def _stale(uow: UnitOfWork, draft: StoredSnapshot) -> Iterator[str]:
    """Yield the frames that changed, or came, since the draft weighed them."""
    every = (s for s in uow.catalogue.every_frame())
    while batch := list(islice(every, BATCH)):
        weighed = uow.weighed.of_frames(draft.id, [s.frame.id for s in batch])
        for stored in batch:
            ends = weighed[stored.frame.id]
            if stored.frame.live and (not ends or any(e.sequence != stored.sequence for e in ends)):
                yield stored.frame.id


def _told(finding: Finding) -> tuple[object, ...]:
    return finding.value, finding.standing, finding.advice, finding.contested
