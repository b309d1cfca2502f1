"""What is said about one invented frame: pages that are right or wrong, readers that slip, people that measure.

What a document says of a subject hangs on its name alone, so that all who read it, and the shops that copy it, find the
same, and nothing need be remembered.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from boltspan.domain.claims import Claim
from boltspan.domain.frames import Frame, Years
from boltspan.domain.lengths import plain
from boltspan.domain.shock_values import ShockSize
from boltspan.domain.sources import Source
from boltspan.domain.values import EndValue, Value
from tests.worlds.chances import Chances
from tests.worlds.ids import statement_id
from tests.worlds.measuring import measure
from tests.worlds.people import SHOPS, Person, leader_of, people_of, somebody
from tests.worlds.rates import Rates
from tests.worlds.sizes import (
    EYELET_SHOCKS,
    TRUNNION_SHOCKS,
    WIDTHS,
    Fit,
    draw_end,
    other_end,
    same,
)
from tests.worlds.slips import left_partial, with_digit_slip, with_wrong_mount, writes_a_size

CLAIMS: Final = {0: 0.12, 1: 0.30, 2: 0.28, 3: 0.15, 4: 0.10, 6: 0.05}
SHOCK_CLAIMS: Final = {0: 0.25, 1: 0.50, 2: 0.20, 3: 0.05}
KINDS: Final = {
    "spec_page": 0.20,
    "exploded_diagram": 0.08,
    "manual": 0.04,
    "maker_reply": 0.07,
    "retailer_chart": 0.23,
    "measured": 0.33,
    "fitted": 0.05,
}
SHOCK_KINDS: Final = {
    "spec_page": 0.50,
    "exploded_diagram": 0.08,
    "manual": 0.10,
    "maker_reply": 0.05,
    "retailer_chart": 0.22,
    "fitted": 0.05,
}
LAST_YEAR: Final = 2026
FIRST_SEEN: Final = 2014
WITHDRAWN: Final = 0.01
_QUOTES: Final = ("{w} x M{b}", "M{b} x {w}", "{w}x{b}", "{b} x {w} mm")

_READ_BY_PEOPLE: Final = ("spec_page", "exploded_diagram", "manual")

Read = tuple[Source, Source, list[str]]
"""A document under the name it goes by, the document whose content it has, and the marks of that."""
Told = tuple[Value, list[str]]
"""A value as somebody tells it, and the marks it has earned so far."""


@dataclass(frozen=True, slots=True)
class Circumstances:
    """What there is to know of a frame before anybody speaks of it.

    ``later`` is what it takes after a change that no record knows of; ``neighbour`` what another generation takes.
    """

    seed: int
    rates: Rates
    frames: int
    number: int
    frame: Frame
    fit: Fit
    later: Fit | None = None
    neighbour: Fit | None = None


def claims_about(about: Circumstances) -> Iterator[tuple[Claim, list[str]]]:
    """Yield every claim about the frame with its marks, subject by subject."""
    teller = _Teller(about)
    for place in range(3):
        yield from teller.of_subject(place)


class _Teller:
    def __init__(self, about: Circumstances) -> None:
        self.about = about
        self.rates = about.rates
        self.frame = about.frame
        self.chances = Chances(about.seed, "claims", about.number)
        self.people = people_of(about.frames)
        self.told = 0

    def of_subject(self, place: int) -> Iterator[tuple[Claim, list[str]]]:
        documents: list[Read] = []
        for _ in range(self.chances.weighed(CLAIMS if place else SHOCK_CLAIMS)):
            kind = self.chances.weighed(KINDS if place else SHOCK_KINDS)
            if kind in ("measured", "fitted"):
                yield self._by_hand(place, kind)
            elif (said := self._read(place, kind, documents)) is not None:
                yield said

    # -- documents ----------------------------------------------------------------------------------------------
    def _read(self, place: int, kind: str, known: list[Read]) -> tuple[Claim, list[str]] | None:
        """Return what somebody reads in a document nobody read before, or, seldom, in one of ``known``.

        None when the document drawn was read before after all.
        """
        reader = self._somebody()
        if known and self.chances.happens(self.rates.read_twice):
            source, origin, marks = self.chances.one_of(known)
        else:
            source, origin, marks = self._chart() if kind == "retailer_chart" else self._document(kind)
            if any(source.document == old.document for old, _, _ in known):
                return None
            known.append((source, origin, marks))
        told, wrong = self._page(place, origin)
        told_marks = [*marks, *wrong]
        if source.kind in _READ_BY_PEOPLE and reader.careless and self.chances.happens(self.rates.careless_claim):
            told, told_marks = self._anything(place), ["careless"]
        told = self._slipped(told, told_marks)
        years = _one_year(source) if source.kind == "spec_page" else None
        source = replace(source, by=reader.id, seen_on=self._day(), quote=_quote(self.chances, told))
        return self._claim(place, source, told, years), told_marks

    def _document(self, kind: str) -> Read:
        frame = self.frame
        home = f"{frame.make}.example"
        if kind == "maker_reply":
            return _as_read(Source(kind, "", "", f"reply of {self._day()} about {frame.id}"))
        if kind == "spec_page":
            name, page = f"{home}/{frame.model}/{self._year()}", None
        elif kind == "exploded_diagram":
            name, page = (
                f"{home}/{frame.model}/drawing-{frame.years.start}{self.chances.one_of('abcd')}",
                self._page_no(),
            )
        else:
            name, page = f"{home}/manuals/{self._year()}", self._page_no()
        return _as_read(Source(kind, "", "", name, f"https://{name}", page))

    def _chart(self) -> Read:
        shop, edition = self.chances.below(SHOPS), self.chances.among(2023, LAST_YEAR)
        own, leader = _chart(shop, edition), leader_of(shop)
        if leader is None or not self.chances.happens(self.rates.copied_chart):
            return _as_read(own)
        origin = _chart(leader, edition)
        passed_off = self.chances.happens(self.rates.untagged_copy)
        return (own if passed_off else origin), origin, ["copied_chart"]

    def _page(self, place: int, source: Source) -> Told:
        """Return what a document says of a subject, be it right or about something else."""
        chances = Chances(self.about.seed, "page", source.document or "", self.about.number, place)
        if chances.happens(self.rates.unsound[source.kind]):
            return self._unsound(chances, place)
        value, marks = self._true(chances, place)
        return (left_partial(chances, value) if chances.happens(self.rates.partial) else value), marks

    # -- people -------------------------------------------------------------------------------------------------
    def _by_hand(self, place: int, kind: str) -> tuple[Claim, list[str]]:
        """Return what somebody measured or fitted. What has no size to measure is told as a fitting."""
        person = self._somebody()
        value, marks = self._true(self.chances, place)
        if person.careless and self.chances.happens(self.rates.careless_claim):
            value, marks = self._anything(place), ["careless"]
        elif self.chances.happens(self.rates.unsound[kind]):
            value, marks = self._unsound(self.chances, place)
        source = Source(kind, person.id, self._day())
        if kind == "measured" and isinstance(value, EndValue) and value.bolt_mm is not None:
            return self._measured(place, source, person, value, marks)
        source = replace(source, kind="fitted")
        if not marks and isinstance(value, EndValue) and value.mount == "hardware" and value.width_mm is not None:
            smaller = _next_smaller(value.width_mm)
            if smaller is not None and self.chances.happens(self.rates.smaller_fitted):
                value, marks = replace(value, width_mm=smaller), [*marks, "smaller_fitted"]
        value = self._slipped(value, marks)
        return self._claim(place, source, value, None), marks

    def _measured(
        self, place: int, source: Source, person: Person, value: EndValue, marks: list[str]
    ) -> tuple[Claim, list[str]]:
        bolt, width = value.bolt_mm, value.width_mm
        if self.chances.happens(self.rates.partial):
            bolt, width = (None, width) if self.chances.happens(0.3) else (bolt, None)
        measurement, earned = measure(self.chances, self.rates, person, bolt, width)
        marks = [*marks, *earned]
        stated: Value | None = None
        if "bushing_bore" not in marks and self.chances.happens(0.25):
            stated = self._slipped(replace(value, bolt_mm=bolt, width_mm=width, bearing_compatible=False), marks)
        year = self._year()
        years = Years(year, year) if self.chances.happens(0.4) else None
        return self._claim(place, replace(source, measurement=measurement), stated, years), marks

    # -- what is told -------------------------------------------------------------------------------------------
    def _true(self, chances: Chances, place: int) -> Told:
        value, later = self.about.fit.of(place), self.about.later
        if later is not None and not same(later.of(place), value) and chances.happens(0.5):
            return later.of(place), ["changed_part"]
        return value, []

    def _unsound(self, chances: Chances, place: int) -> Told:
        true, share = self.about.fit.of(place), chances.between(0, 1)
        rates = self.rates
        if place and share < rates.wrong_end_of_unsound and not same(self.about.fit.of(3 - place), true):
            return self.about.fit.of(3 - place), ["wrong_end"]
        neighbour = self.about.neighbour
        wrong_year = share < rates.wrong_end_of_unsound + rates.wrong_year_of_unsound
        if wrong_year and neighbour is not None and not same(neighbour.of(place), true):
            return neighbour.of(place), ["wrong_year"]
        if isinstance(true, ShockSize):
            others = [size for size in (*EYELET_SHOCKS, *TRUNNION_SHOCKS) if size != true]
            return chances.one_of(others), ["wrong_model"]
        return other_end(chances, rates, true), ["wrong_model"]

    def _anything(self, place: int) -> Value:
        return draw_end(self.chances, self.rates) if place else self.chances.one_of(EYELET_SHOCKS)

    def _slipped(self, value: Value, marks: list[str]) -> Value:
        """Return the value as it is written down; a slip is added to ``marks``."""
        if isinstance(value, EndValue) and value.mount and self.chances.happens(self.rates.wrong_mount):
            value = with_wrong_mount(self.chances, value)
            marks.append("wrong_mount")
        elif writes_a_size(value) and self.chances.happens(self.rates.digit_slip):
            value = with_digit_slip(self.chances, value)
            marks.append("digit_slip")
        return value

    # -- the claim ----------------------------------------------------------------------------------------------
    def _claim(self, place: int, source: Source, value: Value | None, years: Years | None) -> Claim:
        self.told += 1
        claim_id = statement_id("claim", self.about.seed, self.about.number, self.told)
        claim = Claim(claim_id, self.frame.id, self.frame.subjects[place], source, value, years)
        if self.chances.happens(WITHDRAWN):
            why = self.chances.one_of(("measured another bike", "the page was about another year"))
            claim = replace(claim, withdrawn_on=f"{LAST_YEAR}-06-30", withdrawn_why=why, state="withdrawn")
        return claim

    def _somebody(self) -> Person:
        return somebody(self.chances, self.about.seed, self.rates, self.people)

    def _year(self) -> int:
        """Return a model year of the frame."""
        last = self.frame.years.end or max(self.frame.years.start, LAST_YEAR)
        return self.chances.among(self.frame.years.start, last)

    def _day(self) -> str:
        """Return a day on which the frame can have been looked at."""
        first = min(max(self.frame.years.start, FIRST_SEEN), LAST_YEAR)
        year = self.chances.among(first, LAST_YEAR)
        month = self.chances.among(1, 12 if year < LAST_YEAR else 6)
        return f"{year}-{month:02}-{self.chances.among(1, 28):02}"

    def _page_no(self) -> str:
        return str(self.chances.among(1, 60))


def _as_read(source: Source) -> Read:
    return source, source, []


def _one_year(source: Source) -> Years:
    """Return the year that a spec page's name ends in."""
    year = int((source.document or "").rpartition("/")[2])
    return Years(year, year)


def _chart(shop: int, edition: int) -> Source:
    name = f"shop-{shop:02}.example/chart-{edition}"
    return Source("retailer_chart", "", "", name, f"https://{name}")


def _quote(chances: Chances, value: Value) -> str:
    if isinstance(value, EndValue) and value.bolt_mm is not None and value.width_mm is not None:
        return chances.one_of(_QUOTES).format(b=plain(value.bolt_mm), w=plain(value.width_mm))
    return value.label


def _next_smaller(width_mm: Decimal) -> Decimal | None:
    """Return the next usual width below, at most half a millimetre, or None."""
    below = [w for w in WIDTHS if width_mm - Decimal("0.5") <= w < width_mm]
    return max(below, default=None)
