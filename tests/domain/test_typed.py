"""What people type: handles and lengths; and what their readings come to."""

from __future__ import annotations

from decimal import Decimal

import pytest

from boltspan.domain.errors import InvalidInput
from boltspan.domain.handles import handle, handle_key
from boltspan.domain.mistakes import ADVICE
from boltspan.domain.read_back import read_back
from boltspan.domain.readings import nominal_from_readings
from boltspan.domain.statement_readings import statement_of
from boltspan.domain.typed_lengths import typed_length
from boltspan.domain.values import EndValue
from tests.domain.builders import SIZE, measured, page


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("8.06", "8.06"), ("8,06", "8.06"), (" 22.20 ", "22.2"), ("30", "30"), (".5", "0.5"), ("12 mm", "12"),
        ("8.06mm", "8.06"), ("0.317 in", "8.0518"), ("7/8 in", "22.225"), ("1 1/8 in", "28.575"), ("1-1/8\"", "28.575"),
        ("5/16″", "7.9375"), ("1 INCH", "25.4"),
    ],
)  # fmt: skip
def test_a_length_is_read_as_it_is_typed(text: str, mm: str) -> None:
    """An inch is 25.4 mm exactly (international inch; NIST SP 811, appendix B)."""
    assert typed_length(text, "/x") == Decimal(mm)


@pytest.mark.parametrize(
    "text",
    ["", "x", "8.o5", "8.06 8.05", "8.06, 8.05", "1.2.3", "1,2,3", "-8", "+8", "0", "8e3", "NaN", "٨", "８", "7/8",
     "5/3 in", "2001", "12345", "8.1234567", "8 cm", "M8"],
)  # fmt: skip
def test_what_is_no_single_length_is_refused_at_its_field(text: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        typed_length(text, "/bolt_1")
    assert caught.value.problems[0].pointer == "/bolt_1"
    assert caught.value.problems[0].accepted


@pytest.mark.parametrize(
    "text", ["ab", "North Bench", "o-ring", "a.b_c", "Втулка", "ベアリング", "Cafe\u0301", "ruler", "x" * 30]
)
def test_sound_handles_are_kept_in_nfc(text: str) -> None:
    kept = handle(f"  {text} ", "/handle")
    assert kept == text.replace("e\u0301", "é")
    assert handle_key(kept) == handle_key(kept.upper()) or not kept.isascii()


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("rule", "handle_reserved"), ("RULE/1", "bad_handle"), ("rule 1", "handle_reserved"),
        ("Ru1e", "handle_reserved"),
        ("r-u-l-e", "handle_reserved"), ("rúle", "handle_reserved"), ("The Rule", "handle_reserved"),
        ("0perator", "handle_reserved"), ("Boltspan 2", "handle_reserved"), ("p-8d1r6k3x0a", "handle_like_an_id"),
        ("a", "bad_handle"), ("x" * 31, "bad_handle"), ("a--b", "bad_handle"), (".a", "bad_handle"),
        ("a<b", "bad_handle"),
        ("раyl", "mixed_scripts"), ("a\u200db", "hidden_character"), ("a\u202eb", "hidden_character"),
        ("a\tb", "hidden_character"), ("ａbc", "lookalike_character"), ("=ab", "formula_character"), (7, "not_text"),
        ("--", "bad_length"),
    ],
)  # fmt: skip
def test_unsound_handles_are_refused_by_reason(text: object, code: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        handle(text, "/handle")
    assert [(p.pointer, p.code) for p in caught.value.problems] == [("/handle", code)]


def test_readings_are_said_back_as_they_will_be_published() -> None:
    claim = measured(1, bolt=("sleeve_bore", "8.06"), width=("hardware_width", "22.18"))
    bolt, width = read_back(claim)
    said = statement_of(claim).value
    assert isinstance(said, EndValue)
    assert (bolt.size, bolt.chosen, width.size, width.chosen) == ("M8", True, "22.2 mm", True)
    assert (said.bolt_mm, said.width_mm) == (Decimal(8), Decimal("22.225"))
    best = nominal_from_readings([Decimal("8.06")], "sleeve_bore", "digital_caliper").probabilities[0]
    assert bolt.p == best.p


def test_a_mistake_is_named_and_an_unsure_reading_says_what_next() -> None:
    [bore] = read_back(measured(1, bolt=("sleeve_bore", "12.7")))
    assert (bore.chosen, bore.mistake in ADVICE, bore.mistake) == (False, True, "measured_bushing_or_eyelet_bore")
    [between] = read_back(measured(1, bolt=("shank", "7")))
    assert (between.chosen, between.next is not None) == (False, True)


def test_a_page_has_no_readings_to_say_back() -> None:
    assert read_back(page(1, SIZE)) == ()
