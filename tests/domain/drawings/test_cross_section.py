"""The cross-section of an end: what it shows, what it says in words, and what it does not make up."""

from __future__ import annotations

from dataclasses import replace

import pytest

from boltspan.domain.drawings.cross_section import cross_section
from boltspan.domain.fitsheet.built import BuiltEnd, Eyelet
from tests.domain.drawings.ends import CASES, FULL, built, mm
from tests.domain.drawings.reading import read, spoken, written


def drawn(end: BuiltEnd) -> str:
    """Return the drawing of an end that has one."""
    text = cross_section(end)
    assert text is not None
    return text


@pytest.mark.parametrize("case", CASES)
def test_every_end_is_a_drawing_that_stands_by_itself(case: str) -> None:
    root = read(drawn(CASES[case]))
    title, words = spoken(root)
    assert title == "Upper end as it will sit, the shock’s body end"
    assert words.startswith("Cut along the bolt’s axis, to scale.")


def test_the_dimensions_are_those_worked_out_by_hand() -> None:
    """Width 30, eyelet 22: (30 - 22) / 2 = 4 a side."""
    texts = written(read(drawn(FULL)))
    assert [texts.count(text) for text in ("22", "4", "width 30", "opening 30.2")] == [1, 3, 1, 1]  # 4 is a number, too
    assert "2 Spacer, one a side, 4 long" in texts
    assert "4 Eyelet, 22 wide, bore 15, outside 26" in texts
    assert "5 Bushing, metal, inside 12.7, outside 15" in texts
    assert "7 Frame bolt M8" in texts


def test_the_words_say_what_the_drawing_shows() -> None:
    _, words = spoken(read(drawn(FULL)))
    for said in (
        "4 long", "22 wide", "Frame bolt M8", "Width of the hardware 30 mm",
        "Opening between the tabs 30.2 mm, as read",
        "Clearance, both sides together: 0.1 to 0.3 mm, from the reading",
    ):  # fmt: skip
        assert said in words
    assert "by eye" not in words


def test_what_is_not_known_is_named_dashed_and_without_a_figure() -> None:
    root = read(drawn(CASES["eyelet_not_known"]))
    _, words = spoken(root)
    assert (
        "Not known, so drawn by eye: eyelet’s width, eyelet’s bore, eyelet’s outside, sleeve’s outside, "
        "tabs’ thickness and opening."
    ) in words
    texts = written(root)
    assert "4 Eyelet" in texts
    assert "2 Spacer, one a side" in texts
    assert not any("opening" in text and text.startswith("opening") for text in texts)
    dashed = [e for e in root.iter() if e.get("stroke-dasharray") == "5 3"]
    assert len(dashed) == 14  # two walls each of two tabs, two spacers, eyelet, bushing and sleeve


def test_all_dashes_go_once_all_is_known() -> None:
    assert not [e for e in read(drawn(FULL)).iter() if e.get("stroke-dasharray") == "5 3"]


def test_a_sleeve_as_wide_as_the_eyelet_has_no_spacers() -> None:
    texts = written(read(drawn(CASES["sleeve_as_wide_as_the_eyelet"])))
    assert not [text for text in texts if "Spacer" in text or "O-ring" in text or text.startswith("width")]


def test_each_style_has_its_own_parts() -> None:
    washer = written(read(drawn(CASES["crush_washer"])))
    assert "2 Crush washer, raised side out" in washer
    assert "6 Bushing of plastic, two halves, outside 15" in washer
    assert "width 22.2" in washer
    halves = written(read(drawn(CASES["two_piece"])))
    assert "5 Sleeve in two halves, 20 long each" in halves
    assert not [text for text in halves if "Spacer" in text]


@pytest.mark.parametrize("mount", ["trunnion", "proprietary"])
def test_a_mount_without_a_bolt_through_an_eyelet_has_no_drawing(mount: str) -> None:
    assert cross_section(replace(FULL, mount=mount, kit=None)) is None


@pytest.mark.parametrize("missing", ["bolt_mm", "width_mm"])
def test_without_bolt_or_width_there_is_nothing_to_scale(missing: str) -> None:
    assert cross_section(replace(FULL, **{missing: None})) is None


def test_an_eyelet_s_width_follows_from_the_spacers() -> None:
    end = replace(built(eyelet=Eyelet(mm(15))), spacer_mm=mm(5))
    assert "20" in written(read(drawn(end)))
