"""The chain of events, checked from its first to its last; and the account's whole doing, undone in one act."""

from __future__ import annotations

from dataclasses import dataclass

from boltspan.domain.eventchain import START, link
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Event, UnitOfWork

_PAGE = 1000


@dataclass(frozen=True, slots=True)
class ChainReport:
    """How many events were read, the number and hash of the last sound one, and the first thing that is wrong."""

    read: int
    event: int
    hash: str
    wrong: str | None = None


def verify_events(actor: Actor, uow: UnitOfWork, heads: tuple[tuple[int, str], ...] = ()) -> ChainReport:
    """Return whether every event is as it was recorded: numbered without a gap, and hashed after the one before it.

    ``heads`` are event numbers with the hashes they are known to have had, such as those in a copy of a release; the
    releases of this database are heads too. Without any, a tail cut off together with the counter goes unseen.
    """
    actor.permitted("verify_events")
    known = dict(heads)
    for release in uow.releases.releases():
        if (head := release.manifest.get("event_hash")) is not None:
            known.setdefault(release.event, str(head))
    read, previous, last = 0, START, uow.events.first() - 1 if uow.events.first() else 0
    start = last
    while events := uow.events.page(last, _PAGE):
        for event in events:
            if (wrong := _wrong(event, last, previous, known)) is not None:
                return ChainReport(read, last, previous, wrong)
            read, last, previous = read + 1, event.sequence, event.hash
    counted = uow.events.last()
    if last != counted and (read or counted > start):
        return ChainReport(read, last, previous, f"event {last + 1} is missing: the counter stands at {counted}")
    if beyond := [n for n in sorted(known) if n > last]:
        return ChainReport(read, last, previous, f"event {last + 1} is missing: a release holds event {beyond[0]}")
    return ChainReport(read, last, previous)


def _wrong(event: Event, last: int, previous: str, known: dict[int, str]) -> str | None:
    if event.sequence != last + 1:
        return f"event {last + 1} is missing: event {event.sequence} follows {last}"
    made = link(previous, event.sequence, event.at, event.actor, event.kind, event.frame, event.subject, event.payload)
    if made != event.hash:
        return f"event {event.sequence} is not as it was recorded, or not in its place"
    if known.get(event.sequence, event.hash) != event.hash:
        return f"event {event.sequence} is not the one that a release was built at"
    return None
