"""Which of the sizes at hand serve at an end: the same size, a slightly smaller one, and never a larger one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

from boltspan.domain.answers import Assumed
from boltspan.domain.assumptions import EYELET_BORE_TOLERANCE_MM, SIDE_PLAY_OVER_MM
from boltspan.domain.fitsheet.facts import AtHand
from boltspan.domain.fitsheet.needs import Need
from boltspan.domain.fitsheet.texts import NOT_READ
from boltspan.domain.fitsheet.verdicts import narrower
from boltspan.domain.labels import RefusedLabel, read_label
from boltspan.domain.labels.characters import MOST_CHARACTERS
from boltspan.domain.lengths import same_size
from boltspan.domain.sizes import SizeChoiceRequest, choose_size
from boltspan.domain.values import EndValue


@dataclass(frozen=True, slots=True)
class Size:
    """A size of hardware: the shop's name for it, its label as the trade writes it, its numbers in mm.

    ``mount`` is ``hardware`` for a kit with a bushing, ``bearing`` for one that goes onto a bearing eyelet;
    ``bearing_compatible`` says of the first that it goes onto one too.
    """

    label: str
    bolt_mm: Decimal
    width_mm: Decimal
    article: str | None = None
    eyelet_bore_mm: Decimal | None = None
    mount: str = "hardware"
    bearing_compatible: bool = False


@dataclass(frozen=True, slots=True)
class NotRead:
    """An entry whose label was not read: where it stands in the list, what it says, the reason and advice."""

    place: int
    label: str
    reason: str
    advice: str
    article: str | None = None


@dataclass(frozen=True, slots=True)
class Substitute:
    """A size at hand that serves: how (a key of AT_HAND), and how much smaller than the need it is, in mm.

    ``choice`` marks the one to take. ``undersize_mm`` is what can be side play beyond the size's own.
    """

    size: Size
    how: str
    undersize_mm: Decimal
    side_play_likely: bool
    choice: bool


@dataclass(frozen=True, slots=True)
class NeverUse:
    """A size at hand that must not go in, and why (a key of NEVER)."""

    size: Size
    why: str


@dataclass(frozen=True, slots=True)
class Served:
    """What serves, best first; what is never to be used; the choice in words; and what the answer leans on."""

    substitutes: tuple[Substitute, ...] = ()
    never: tuple[NeverUse, ...] = ()
    why: str | None = None
    assumed: tuple[Assumed, ...] = ()

    @property
    def choice(self) -> Substitute | None:
        """The one to take; None when nothing at hand serves for sure."""
        return next((each for each in self.substitutes if each.choice), None)


def sizes_at_hand(entries: Sequence[AtHand]) -> tuple[tuple[Size, ...], tuple[NotRead, ...]]:
    """Return the sizes of ``entries``, and the entries that were not read, in their order.

    A label that states the sizes of two ends is two sizes. One without any size of hardware is not read. Numbers alone
    are of hardware with a bushing, as a label without a mount is.
    """
    sizes, unread = [], []
    for place, entry in enumerate(entries):
        if entry.label is None:
            assert entry.bolt_mm is not None and entry.width_mm is not None, "checked before"
            sizes.append(_size(entry.article, entry.bolt_mm, entry.width_mm, entry.eyelet_bore_mm))
            continue
        read = _read(entry.label) if len(entry.label) <= MOST_CHARACTERS else read_label(entry.label)
        if isinstance(read, RefusedLabel):
            unread.append(NotRead(place, entry.label, read.reason, read.advice, entry.article))
            continue
        found = [
            _size(entry.article, part.bolt_mm, part.width_mm, part.eyelet_bore_mm, part.mount, part.bearing_compatible)
            for part in read.parts
            if part.mount in ("hardware", "bearing") and part.bolt_mm is not None and part.width_mm is not None
        ]
        sizes += found
        if not found:
            unread.append(NotRead(place, entry.label, "no_size", NOT_READ["no_size"], entry.article))
    return tuple(sizes), tuple(unread)


def serve(
    need: Need,
    eyelet_bore_mm: Decimal | None,
    sizes: Sequence[Size],
    max_undersize_mm: Decimal,
    eyelet_width_mm: Decimal | None = None,
    *,
    onto_bearing: bool = False,
) -> Served:
    """Return which ``sizes`` serve a sized need, for an eyelet of this bore and width; their order is nothing to it.

    ``onto_bearing``: the eyelet keeps its bearing, so that only what is made for one serves; else only what has a
    bushing.

    A size by name goes by the size-down rule, an opening as read by the decision rule of ISO 14253-1; where both are
    known a size must pass both. One narrower than the eyelet never goes in. Of sizes with another bolt, or for another
    bore or kind of eyelet, nothing is said.
    """
    fitting = [
        s for s in sizes
        if _same_bolt(need, s) and _same_bore(eyelet_bore_mm, s) and _of_this_kind(s, onto_bearing)
    ]  # fmt: skip
    widths = tuple({s.width_mm for s in fitting})
    read_never, by_hand = _by_reading(need, widths, max_undersize_mm)
    allowed = tuple(w for w in widths if w not in read_never and not narrower(w, eyelet_width_mm))
    if need.width_mm is not None:
        rule = choose_size(SizeChoiceRequest(need.width_mm, "nominal", allowed, max_undersize_mm=max_undersize_mm))
        target, most = need.width_mm, max_undersize_mm
    else:
        assert need.gap is not None, "the need is sized"
        target, unsure = need.gap.mean_mm, need.gap.uncertainty_mm
        rule = choose_size(SizeChoiceRequest(target, "reading", allowed, unsure, max_undersize_mm))
        most = max_undersize_mm + unsure
    clamped = [w for w in widths if w not in allowed and target - w <= most]
    refused = {**dict.fromkeys(clamped, "narrower_than_eyelet"), **dict.fromkeys(rule.never_mm, "wider_than_needed"),
               **dict.fromkeys(read_never, "wider_than_read")}  # fmt: skip
    never = [NeverUse(s, refused[s.width_mm]) for s in fitting if s.width_mm in refused]
    usable = [s for s in fitting if s.width_mm in allowed and s.width_mm not in refused and target - s.width_mm <= most]
    chosen = min((s for s in usable if s.width_mm == rule.choice_mm), key=_order, default=None)
    found = [_substitute(s, need, target, s.width_mm in by_hand, s is chosen) for s in usable]
    found.sort(key=lambda each: (not each.choice, each.how == "try_by_hand", each.undersize_mm, _order(each.size)))
    return Served(tuple(found), tuple(sorted(never, key=lambda n: _order(n.size))), rule.why, rule.assumed)


def _by_reading(need: Need, widths: tuple[Decimal, ...], most: Decimal) -> tuple[set[Decimal], set[Decimal]]:
    """Widths that the opening as read excludes, and those that may go in by hand."""
    if need.gap is None:
        return set(), set()
    rule = choose_size(SizeChoiceRequest(need.gap.mean_mm, "reading", widths, need.gap.uncertainty_mm, most))
    return set(rule.never_mm), set(rule.try_by_hand_mm or ())


def _substitute(size: Size, need: Need, target: Decimal, by_hand: bool, choice: bool) -> Substitute:
    under = target - size.width_mm
    same = need.width_mm is not None and same_size(size.width_mm, need.width_mm)
    how = "try_by_hand" if by_hand else "same_size" if same else "size_down"
    return Substitute(size, how, under, not same and under > SIDE_PLAY_OVER_MM, choice)


_read = lru_cache(maxsize=2048)(read_label)  # a shop's labels are the same from question to question


def _size(
    article: str | None,
    bolt: Decimal,
    width: Decimal,
    bore: Decimal | None,
    mount: str = "hardware",
    compatible: bool = False,
) -> Size:
    return Size(EndValue(mount, bolt, width).label, bolt, width, article, bore, mount, compatible)


def _of_this_kind(size: Size, onto_bearing: bool) -> bool:
    return (size.mount == "bearing" or size.bearing_compatible) if onto_bearing else size.mount == "hardware"


def _same_bolt(need: Need, size: Size) -> bool:
    return need.bolt_mm is not None and same_size(need.bolt_mm, size.bolt_mm)


def _same_bore(bore: Decimal | None, size: Size) -> bool:
    return bore is None or size.eyelet_bore_mm is None or abs(bore - size.eyelet_bore_mm) <= EYELET_BORE_TOLERANCE_MM


def _order(size: Size) -> tuple[Decimal, str, str, Decimal]:
    return -size.width_mm, size.article or "", size.label, size.eyelet_bore_mm or Decimal(0)
