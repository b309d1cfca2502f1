"""The shocks of a question for a fit sheet: looked up by id, with what the asker states filling gaps."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

from boltspan.domain.assumptions import EYE_TO_EYE_TOLERANCE_MM, STROKE_TOLERANCE_MM
from boltspan.domain.errors import Gone, InvalidInput, Moved, NotFound
from boltspan.domain.findings import Finding
from boltspan.domain.fitsheet.facts import ShockFacts
from boltspan.domain.fitsheet.question import ShockStated
from boltspan.domain.shock_values import SIZES, ShockEnd, ShockSize, ShockSizes, ends_agree
from boltspan.domain.shocks import SHOCK_ENDS
from boltspan.services.protocols import UnitOfWork
from boltspan.services.shocks import FoundShock, find_shock


@dataclass(frozen=True, slots=True)
class NamedShock:
    """A shock's facts, and its record where it was named by id; neither when no shock is named."""

    facts: ShockFacts | None = None
    record: FoundShock | None = None

    def for_frame(self, frame_id: str) -> ShockFacts | None:
        """Return the facts with the hardware that the shock is sold with for this frame."""
        if self.facts is None or self.record is None:
            return self.facts
        sold = [each.ends for each in self.record.shock.sold_with if each.frame == frame_id]
        return replace(self.facts, in_the_box=tuple(end for ends in sold for end in ends))


def shock_named(uow: UnitOfWork, stated: ShockStated | None, pointer: str) -> NamedShock:
    """Return the shock that ``stated`` means. The id of a merged record means the one that answers now.

    Raises InvalidInput naming the field: an id of no shock, or of one that was divided or withdrawn; a statement that
    the record contradicts.
    """
    if stated is None:
        return NamedShock()
    if stated.id is None:
        return NamedShock(stated.facts)
    record = _record(uow, stated.id, f"{pointer}/id")
    ends = {end: _end(record.findings[end], stated, end, pointer) for end in SHOCK_ENDS}
    size, listed = _size(record.findings[SIZES], ShockSize(stated.eye_to_eye_mm, stated.stroke_mm))
    standings = {end: "provisional" if record.findings[end].contested else record.findings[end].standing
                 for end in SHOCK_ENDS}  # fmt: skip
    facts = ShockFacts(size.eye_to_eye_mm, size.stroke_mm, ends["body"], ends["shaft"], standings=standings,
                       size_listed=listed)  # fmt: skip
    return NamedShock(facts, record)


def _record(uow: UnitOfWork, shock_id: str, pointer: str) -> FoundShock:
    wanted, accepted = shock_id, "the id of a shock, or its facts written out"
    while True:
        try:
            return find_shock(uow, wanted)
        except Moved as moved:
            wanted = moved.into
        except Gone as gone:
            instead = ", ".join(gone.ask_instead) or accepted
            raise InvalidInput.one(pointer, "shock_gone", gone.why, got=shock_id, accepted=instead) from None
        except NotFound:
            raise InvalidInput.one(pointer, "unknown_shock", "there is no shock of this id", got=shock_id,
                                   accepted=accepted) from None  # fmt: skip


def _end(finding: Finding, stated: ShockStated, end: str, pointer: str) -> ShockEnd | None:
    """Return what the record says of an end, its gaps filled by what is stated; None when neither says anything."""
    said = finding.value if isinstance(finding.value, ShockEnd) else None
    own, name = getattr(stated, end), end
    if own is None:
        own, name = stated.both, "both"
    if said is None or own is None:
        return said or own
    if not ends_agree(said, own):
        raise InvalidInput.one(f"{pointer}/{name}", "contradicts_record", "the shock's record says otherwise",
                               got=own.label, accepted=f"{said.label}; or the facts without the id")  # fmt: skip
    return ShockEnd(*(getattr(said, each.name) or getattr(own, each.name) for each in fields(ShockEnd)))


def _size(finding: Finding, stated: ShockSize) -> tuple[ShockSize, bool]:
    """Return the shock's size, and whether its record allows for it.

    The size is as stated, or what is left of the sizes it is made in when these are all of them; metric and inch names
    of one size count as equal.
    """
    made = finding.value if isinstance(finding.value, ShockSizes) and finding.value.only else None
    if made is None:
        return stated, True
    left = [size for size in made.sizes if _alike(size, stated)]
    return (left[0] if len(left) == 1 else stated), bool(left)


def _alike(a: ShockSize, b: ShockSize) -> bool:
    pairs = (
        (a.eye_to_eye_mm, b.eye_to_eye_mm, EYE_TO_EYE_TOLERANCE_MM),
        (a.stroke_mm, b.stroke_mm, STROKE_TOLERANCE_MM),
    )
    return all(x is None or y is None or abs(x - y) <= most for x, y, most in pairs)
