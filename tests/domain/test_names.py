"""Names from strangers: look-alikes, hidden characters, mixed scripts."""

from __future__ import annotations

import pytest

from boltspan.domain.errors import InvalidInput
from boltspan.domain.names import folded, name, slug_of


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "bad_length"),
        ("   ", "bad_length"),
        ("---", "bad_length"),
        ("x" * 81, "bad_length"),
        ("Sker\u200bry", "hidden_character"),
        ("Sker\u202ery", "hidden_character"),
        ("Sker\try", "hidden_character"),
        ("\uff33kerry", "lookalike_character"),
        ("Skerry²", "lookalike_character"),
        ("Sk\u0435rry", "mixed_scripts"),  # the e is Cyrillic
        ("=Skerry", "formula_character"),
        ("@Skerry", "formula_character"),
        ("+Skerry", "formula_character"),
        (7, "not_text"),
    ],
)
def test_a_name_that_deceives_is_refused(text: object, code: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        name(text, "/name")
    assert [(p.pointer, p.code) for p in caught.value.problems] == [("/name", code)]


@pytest.mark.parametrize(
    ("text", "kept"),
    [("  Skerry   150 ", "Skerry 150"), ("Sölvi", "Sölvi"), ("Скала", "Скала"), ("ソルビ山", "ソルビ山")],
)
def test_an_honest_name_is_kept_in_nfc(text: str, kept: str) -> None:
    assert name(text, "/name") == kept


@pytest.mark.parametrize(("text", "slug"), [("Skerry 150", "skerry-150"), ("Sölvi+", "solvi"), ("Скала", "")])
def test_slugs(text: str, slug: str) -> None:
    assert slug_of(text) == slug


def test_the_search_sees_no_accents_and_no_case() -> None:
    assert folded("  SÖLVI  150 ") == folded("solvi 150")
