"""What holds for every label: rule 14 of the grammar, and that nothing ever raises or is guessed."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from hypothesis import assume, given
from hypothesis import strategies as st

from boltspan.domain.labels import REASONS, WARNINGS, LabelPart, ReadLabel, canonical_label, label_answer, read_label

BOLTS = st.sampled_from([Decimal(text) for text in ("6", "8", "10", "6.35", "7.9375", "9.525")])
PAIRS = st.sampled_from(
    [("front", "rear"), ("upper", "lower"), ("frame", "link"), ("shaft", "body"), ("rear", "front")]
)
DENOMINATORS = st.sampled_from([2, 4, 8, 16, 32, 64])
# Text near the grammar, so that the deep rules are reached, mixed with text of any kind.
SIGNS = "0123456789.,-/x×*;|&:()±+\"'⌀øm wfr\n\t\u00a0½⅛⅞²٣８⁄–″é"
WORDS = (
    " x ", " by ", "mm", " in", "cm", "inch", "1-1/8", "7/8", "5/16", "M8", "8", "30", "22.2", "15", "12.7", "front ",
    "rear ", "upper", "both", "trunnion", "TR", "none", "bolt ", "width ", "ID", "W", "open", "open eyelet", "bearing",
    " compatible", "offset", "screw", "8.8", "n/a", "to", "or",
)  # fmt: skip
BITS = st.sampled_from([*SIGNS, *WORDS])
NEAR_LABELS = st.lists(BITS, max_size=14).map("".join)


def _widths(over: int = 12) -> st.SearchStrategy[Decimal]:
    any_places = st.integers(0, 30).flatmap(
        lambda places: st.integers(over * 10**places + 1, 80 * 10**places).map(lambda n: _exact(n, places))
    )
    return any_places.filter(lambda width: width not in (Decimal("12.7"), Decimal(15)))


def _exact(number: int, places: int) -> Decimal:
    return Decimal((0, tuple(map(int, str(number))), -places))


BOLT_SIDES = (
    "8", "M8", "6", "10", "Ø8", "8 mm", "8.0", "5/16", '1/4"', "9.525", "ID 8", "8 bolt", "bolt 8", "12", "M12", "15",
)  # fmt: skip
WIDTH_SIDES = (
    "22,2", "22.2 mm", "7/8", "1 1/8", '1-1/8"', "1 in", "3 cm", "30 wide", "W 30", "12.7", "15", "1.25", "2.25", "0",
)  # fmt: skip


@st.composite
def sizes(draw: st.DrawFn) -> str:
    """One side x other side, with a bolt or without, sensible or not."""
    hundredths = st.decimals(0, 90, places=2).map(lambda value: f"{value:f}")
    width = draw(st.integers(1, 200).map(str) | st.sampled_from(WIDTH_SIDES) | hundredths)
    return f"{draw(st.sampled_from(BOLT_SIDES))} x {width}"


def _same(one: str, other: str) -> None:
    """Two texts give the same answer, a refusal for the same reason."""
    first, second = label_answer(one), label_answer(other)
    assert first == second, (one, other)


@st.composite
def parts(draw: st.DrawFn, end: str) -> LabelPart:
    """Any part a reading can give."""
    mount = draw(st.sampled_from(["hardware", "hardware", "bearing", "trunnion", "proprietary", "open_eyelet"]))
    if mount == "hardware" and draw(st.booleans()):
        bore = draw(st.sampled_from([Decimal("12.7"), Decimal(15)]))
        return LabelPart(end, mount, draw(BOLTS), draw(_widths(over=15)), bore, draw(st.booleans()))
    if mount == "hardware":
        return LabelPart(end, mount, draw(BOLTS), draw(_widths()), None, draw(st.booleans()))
    if mount == "bearing" and draw(st.booleans()):
        return LabelPart(end, mount, draw(BOLTS), draw(_widths()))
    if mount == "open_eyelet":
        bore_mm = draw(st.none() | st.decimals(6, 30, places=4))
        return LabelPart(end, mount, None, draw(st.none() | _widths()), bore_mm)
    return LabelPart(end, mount)


@st.composite
def readings(draw: st.DrawFn) -> tuple[LabelPart, ...]:
    """The parts of one label: one end, both under one name, or two."""
    kind = draw(st.sampled_from(["one", "both", "named", "unnamed", "one named"]))
    if kind in ("one", "both"):
        return (draw(parts("unnamed" if kind == "one" else "both")),)
    ends = ("unnamed_1", "unnamed_2") if kind == "unnamed" else draw(PAIRS)
    both = (draw(parts(ends[0])), draw(parts(ends[1])))
    return both[:1] if kind == "one named" else both


@given(readings())
def test_canonical_text_reads_back_to_the_same_parts(wanted: tuple[LabelPart, ...]) -> None:
    text = canonical_label(wanted)
    assume(len(text) <= 200)
    reading = read_label(text)
    assert isinstance(reading, ReadLabel), (text, reading)
    assert reading.parts == wanted
    assert reading.canonical == text


@given(sizes())
def test_swapping_the_sides_of_x_changes_nothing(text: str) -> None:
    _same(text, " x ".join(reversed(text.split(" x "))))


@given(NEAR_LABELS, NEAR_LABELS)
def test_swapping_any_two_sides_of_x_never_gives_another_size(one: str, other: str) -> None:
    first, second = read_label(f"{one} x {other}"), read_label(f"{other} x {one}")
    if isinstance(first, ReadLabel) and isinstance(second, ReadLabel):
        assert sorted(map(_size, first.parts), key=str) == sorted(map(_size, second.parts), key=str)


def _size(part: LabelPart) -> tuple[object, ...]:
    return part.mount, part.bolt_mm, part.width_mm, part.eyelet_bore_mm


@given(sizes() | NEAR_LABELS)
def test_case_changes_nothing(text: str) -> None:
    assume("İ" not in text)
    _same(text.lower(), text.upper())
    _same(text.lower(), text)


@given(sizes() | NEAR_LABELS, st.text(" \t\n", max_size=6), st.text(" \t\n", max_size=6))
def test_blanks_at_the_ends_change_nothing(text: str, before: str, after: str) -> None:
    _same(text, f"{before}{text}{after}")


@given(sizes() | NEAR_LABELS)
def test_doubling_a_blank_changes_nothing(text: str) -> None:
    _same(text, text.replace(" ", "  "))


@given(sizes(), st.text(" \t", max_size=4), st.text(" \t", max_size=4))
def test_blanks_around_x_change_nothing(text: str, before: str, after: str) -> None:
    assume("0x" not in text.replace(" ", ""))  # 0x10 glued is a number of another base
    one, other = text.split(" x ")
    _same(text, f"{one}{before}x{after}{other}")


@given(NEAR_LABELS | st.text(max_size=220) | st.text(st.characters(max_codepoint=0x3000), max_size=30))
def test_no_text_raises_and_every_answer_is_whole(text: str) -> None:
    answer = label_answer(text)
    if answer["status"] == "refused":
        assert answer == {"status": "refused", "reason": answer["reason"], "advice": REASONS[answer["reason"]]}
        assert answer["advice"]
        return
    assert set(answer["warnings"]) <= set(WARNINGS)
    assert label_answer(answer["canonical"])["parts"] == answer["parts"]
    for part in answer["parts"]:
        assert ("bolt_mm" in part and "width_mm" in part) or part["mount"] != "hardware"
        assert "width_mm" not in part or 12 < part["width_mm"] <= 80


@given(st.none() | st.booleans() | st.integers() | st.floats() | st.binary() | st.lists(st.text()) | st.builds(object))
def test_no_object_raises(thing: object) -> None:
    assert label_answer(thing)["reason"] == "not_a_string"


@given(st.integers(0, 2), DENOMINATORS, st.data())
def test_inch_fractions_are_exact(whole: int, below: int, data: st.DataObject) -> None:
    above = data.draw(st.integers(0, below // 2 - 1).map(lambda half: 2 * half + 1))
    inches = whole + Fraction(above, below)
    width = inches * Fraction(254, 10)
    assume(12 < width <= 80 and width != Fraction("12.7"))
    fraction = f"{above}/{below}"
    spellings = [fraction] if not whole else [f"{whole}-{fraction}", f"{whole} {fraction}"]
    spellings.append(f"{Decimal(inches.numerator) / Decimal(inches.denominator)} in")
    for spelling in spellings:
        reading = read_label(f"{spelling} x M8")
        assert isinstance(reading, ReadLabel)
        assert reading.parts[0].width_mm is not None
        assert Fraction(reading.parts[0].width_mm) == width


@given(st.decimals(0, 200, places=3), st.decimals(0, 200, places=3))
def test_two_plain_numbers_are_read_only_with_exactly_one_bolt(one: Decimal, other: Decimal) -> None:
    bolts = {Decimal(6), Decimal(8), Decimal(10), Decimal("6.35"), Decimal("7.9375"), Decimal("9.525")}
    reading = read_label(f"{one:f} x {other:f}")
    if isinstance(reading, ReadLabel):
        assert (one in bolts) != (other in bolts)
        assert {reading.parts[0].bolt_mm, reading.parts[0].width_mm} == {one, other}
