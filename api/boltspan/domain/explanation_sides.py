"""Who says what of one end: the values that stand against each other, and in plain words what kind of doubt that is."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Final

from boltspan.domain.agreement import voices_of
from boltspan.domain.claims import Claim
from boltspan.domain.explanation import Side
from boltspan.domain.lengths import plain
from boltspan.domain.statement_readings import Statement
from boltspan.domain.values import EndValue, trade_width
from boltspan.domain.weighed import WeighedCandidate, same_end

CLOSE_MM: Final = Decimal("0.5")
"""Widths so close are told apart by wear alone, or by who fits the next smaller size (judgement)."""
_HUNDREDTH: Final = Decimal("0.01")
_SOURCES: Final = {
    "spec_page": "the maker's specification page",
    "exploded_diagram": "the maker's drawing",
    "manual": "the maker's manual",
    "maker_reply": "the maker's reply",
    "retailer_chart": "a shop's chart",
    "fitted": "somebody who fitted it",
}
_SEVERAL: Final = {
    "spec_page": "{} of the maker's specification pages",
    "exploded_diagram": "{} of the maker's drawings",
    "manual": "{} of the maker's manuals",
    "maker_reply": "{} replies of the maker",
    "retailer_chart": "{} shops' charts",
    "fitted": "{} people who fitted it",
}
_MOUNTS: Final = {"bearing": "a bearing", "trunnion": "trunnion", "open_eyelet": "an open eyelet",
                  "proprietary": "a part of the maker's own", "hardware": "hardware"}  # fmt: skip


def source_words(kind: str, instrument: str | None = None) -> str:
    """Return who speaks, with an article: "the maker's manual", "a caliper", "a steel rule"."""
    if kind != "measured":
        return _SOURCES[kind]
    return {"steel_rule": "a steel rule", "tape": "a tape"}.get(str(instrument), "a caliper")


def value_words(value: EndValue) -> str:
    """Return a value in words: its size, what of it is stated, or its kind of mount."""
    if value.mount not in (None, "hardware"):
        sizes = value.label if any((value.bolt_mm, value.width_mm, value.eyelet_bore_mm)) else ""
        return sizes or _MOUNTS[str(value.mount)]
    if value.bolt_mm is None and value.width_mm is None:
        return "hardware without a size"
    if value.bolt_mm is None and value.width_mm is not None:
        return f"a width of {plain(trade_width(value.width_mm))}"
    return f"a bolt of {plain(value.bolt_mm)} mm" if value.width_mm is None and value.bolt_mm else value.label


def said_value(statement: Statement) -> EndValue:
    """Return what a claim says as a value; readings that are no size stand as they were read."""
    measurement, value = statement.claim.source.measurement, statement.value
    said = value if isinstance(value, EndValue) else EndValue()
    if measurement is None:
        return said
    return replace(
        said,
        bolt_mm=said.bolt_mm or mean_mm(measurement.bolt_readings_mm),
        width_mm=said.width_mm or mean_mm(measurement.width_readings_mm),
    )


def mean_mm(readings: Sequence[Decimal]) -> Decimal | None:
    """Return the mean of readings to a hundredth of a millimetre, None for none."""
    return (sum(readings, Decimal(0)) / len(readings)).quantize(_HUNDREDTH) if readings else None


def sides(
    statements: Sequence[Statement], first: WeighedCandidate, candidates: Sequence[WeighedCandidate]
) -> tuple[Side, ...]:
    """Return what is said of an end, each value with who says it; ``first``, the likeliest, before the others.

    A claim stands with ``first`` when the evidence says that it goes with it, or when what it says leaves ``first``
    open; else with the likeliest of ``candidates`` it goes with, else with what it says itself. The others descend by
    the number of voices, ties in the order of the claims.
    """
    said: dict[EndValue, list[Statement]] = {first.value: []}
    for statement in statements:
        said.setdefault(_stands_for(statement, first, candidates), []).append(statement)
    with_first = said.pop(first.value)
    others = sorted(said.items(), key=lambda found: -voices_of(found[1]))
    return tuple(_side(value, group) for value, group in [(first.value, with_first), *others] if group)


def _stands_for(statement: Statement, first: WeighedCandidate, candidates: Sequence[WeighedCandidate]) -> EndValue:
    claim, said = statement.claim.id, said_value(statement)
    if claim in first.claims:
        return first.value
    with_it = next((c.value for c in candidates if claim in c.claims), None)
    if with_it is None:
        return first.value if statement.claim.source.measurement is None and same_end(said, first.value) else said
    return with_it


def _side(value: EndValue, statements: Sequence[Statement]) -> Side:
    """Return a side under what its claims name of the value: what nobody names is no statement of theirs."""
    named = value
    if value.mount == "hardware":
        said = [said_value(s) for s in statements]
        named = replace(
            value,
            bolt_mm=value.bolt_mm if any(s.bolt_mm is not None for s in said) else None,
            width_mm=value.width_mm if any(s.width_mm is not None for s in said) else None,
        )
    if len(statements) == 1 and (named.bolt_mm is None or named.width_mm is None):
        named = said_value(statements[0])
    return Side(
        named, voices_of(statements), _speakers([s.claim for s in statements]), tuple(s.claim.id for s in statements)
    )


def _speakers(claims: Sequence[Claim]) -> str:
    """Return who speaks, alike together: "the maker's manual; 2 calipers that read 22.18 and 22.2"."""
    documents = Counter(kind for kind, _ in {c.source.kind: c for c in claims}.items())
    told = []
    for kind in documents:
        of_kind = [c for c in claims if c.source.kind == kind]
        if kind != "measured":
            count = len({c.source.witness for c in of_kind})
            told.append(_SOURCES[kind] if count == 1 else _SEVERAL[kind].format(count))
            continue
        for tool in dict.fromkeys(source_words(kind, _instrument(c)) for c in of_kind):
            with_it = [c for c in of_kind if source_words(kind, _instrument(c)) == tool]
            reads = " and ".join(dict.fromkeys(_reads(c) for c in with_it))
            many = f"{len(with_it)} {tool.partition(' ')[2]}s that read" if len(with_it) > 1 else f"{tool} that reads"
            told.append(f"{many} {reads}")
    return "; ".join(told)


def _instrument(claim: Claim) -> str | None:
    return claim.source.measurement.instrument if claim.source.measurement is not None else None


def _reads(claim: Claim) -> str:
    measurement = claim.source.measurement
    assert measurement is not None, "only measurements are read"
    both = (mean_mm(measurement.bolt_readings_mm), mean_mm(measurement.width_readings_mm))
    return " x ".join(plain(mean) for mean in both if mean is not None)


def sides_words(found: Sequence[Side]) -> str:
    """Return who says what: "2 say M8 x 25 (the maker's manual; a caliper that reads 24.96), 1 says M8 x 35 (...)"."""
    return ", ".join(
        f"{side.voices} {'says' if side.voices == 1 else 'say'} {value_words(side.value)} ({side.speakers})"
        for side in found
    )


def doubt(first: EndValue, second: EndValue) -> str:
    """Return what kind of doubt stands between two values, as a mechanic would put it. Common practice, no source."""
    if first.mount != second.mount:
        return _doubt_of_mounts(first, second)
    if first.mount != "hardware" or first.width_mm is None or second.width_mm is None:
        return "The mount is not in doubt, its sizes are."
    bolts_differ, apart = first.bolt_mm != second.bolt_mm, abs(first.width_mm - second.width_mm)
    if bolts_differ and apart > CLOSE_MM:
        return (
            "Bolt and width both differ: that is not one number misread, but another bike, another year or the other "
            "end."
        )
    if bolts_differ:
        return "The width is not in doubt, the bolt is."
    far = plain(abs(trade_width(first.width_mm) - trade_width(second.width_mm)))
    if apart <= CLOSE_MM:
        return (
            f"The bolt is not in doubt. The widths are only {far} mm apart: worn hardware, or the next smaller size "
            "that somebody fitted, is enough to explain that."
        )
    return (
        f"The bolt is not in doubt. {far} mm between two widths is more than wear or a caliper explains, so both "
        "cannot be right on one bike."
    )


def _doubt_of_mounts(first: EndValue, second: EndValue) -> str:
    mounts = {first.mount, second.mount}
    if mounts == {"hardware", "bearing"}:
        return "The doubt is whether a bushing or a bearing sits in the eyelet; sizes alone do not tell."
    if "proprietary" in mounts and "hardware" in mounts:
        return (
            "The doubt is whether usual hardware may go in; a part of the maker's own can have the same sizes, so "
            "readings alone do not tell."
        )
    one, other = (_MOUNTS[str(v.mount)] for v in (first, second))
    return f"The doubt is the kind of mount: {one} and {other} cannot both be right on one bike."
