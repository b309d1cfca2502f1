"""SVG text: escaped, legal XML, short numbers."""

from __future__ import annotations

import pytest

from boltspan.domain.drawings.shapes import hatched, hatching, words
from boltspan.domain.drawings.svg import drawing, number
from tests.domain.drawings.reading import numbers, read, spoken, written

HOSTILE = "</title><script>alert('1')</script> & \"two\" \x00\x0b\ud800\ufffe"
AS_READ = "</title><script>alert('1')</script> & \"two\" \ufffd\ufffd\ufffd\ufffd"


def test_what_a_stranger_wrote_stays_text() -> None:
    root = read(drawing(10, 10, HOSTILE, HOSTILE, words(5, 5, HOSTILE)))
    assert spoken(root) == (AS_READ, AS_READ)
    assert written(root) == [AS_READ]
    assert len(list(root)) == 3


@pytest.mark.parametrize(
    ("value", "text"), [(3, "3"), (3.5, "3.5"), (0.125, "0.12"), (-0.001, "0"), (100.0, "100"), (-2.25, "-2.25")]
)
def test_numbers_are_short(value: float, text: str) -> None:
    assert number(value) == text


@pytest.mark.parametrize("leans", ["left", "right", "both"])
def test_hatching_stays_in_its_face(leans: str) -> None:
    face = hatched(10, 20, 30, 8, spacing=3, leans=leans)
    path = dict(face.children[1].attributes)["d"]  # type: ignore[union-attr]
    found = numbers(path)
    assert len(found) >= 4 * 8
    assert all(10 <= x <= 40 for x in found[::2])
    assert all(20 <= y <= 28 for y in found[1::2])


def test_a_face_too_thin_for_a_line_has_none() -> None:
    assert hatching(1, 1, 1, 1, spacing=6).write() == "<g/>"
