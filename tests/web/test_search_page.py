"""What the look-up page shows for what people type, without a browser."""

from __future__ import annotations

import html
from decimal import Decimal
from typing import Any

import pytest

from boltspan.domain.cautions import CAUTIONS
from boltspan.domain.findings import ADVICE, STANDINGS
from boltspan.domain.values import MOUNTS
from boltspan.web import words
from tests.http.world import DIVIDED, EARLY, F1, LATE, MERGED, WITHDRAWN, Site


def shown(site: Site, text: str) -> str:
    """Return the page's text for a question."""
    sent = site.get(f"/?q={text.replace(' ', '+')}")
    assert (sent.status_code, sent.mimetype) == (200, "text/html")
    return " ".join(html.unescape(sent.text).split())


def test_every_caution_stands_in_full(site: Site) -> None:
    page = shown(site, "tarnvale skerry 2021")
    assert [text for text in CAUTIONS.values() if text not in page] == []


def test_frames_that_differ_are_told_apart_by_a_question(site: Site) -> None:
    page = shown(site, "tarnvale skerry 2016")
    assert "Ask the customer" in page
    assert "Does the serial number start with TV16?" in page
    assert EARLY in page
    assert LATE in page
    assert F1 not in page


def test_an_id_is_looked_up_and_records_that_answer_no_more_lead_on(site: Site) -> None:
    assert F1 in shown(site, F1)
    assert F1 in shown(site, MERGED)
    gone = shown(site, DIVIDED)
    assert "This record is gone" in gone
    assert EARLY in gone
    assert LATE in gone
    assert "there was no such frame".capitalize() in shown(site, WITHDRAWN)
    assert "Not known" in shown(site, "f-zzzzzzzzzz")


def test_what_is_not_known_is_called_so_and_nothing_is_guessed(site: Site) -> None:
    page = shown(site, "tarnvale skerry 1999")
    assert "Not known" in page
    assert "in 1999" in page
    assert 'href="/?q=Tarnvale%20Skerry"' in page
    assert "M8 x" not in page


def test_a_proposal_is_not_shown(site: Site) -> None:
    proposal = {
        "make": {"name": "Tarnvale"},
        "model": {"name": "Holm"},
        "years": {"from": 2025},
        "ends": ["upper", "lower"],
    }
    frame = site.post("/v1/frames", proposal, who="ann").json["frame"]["id"]
    for text in ("tarnvale holm", frame):
        assert 'class="frame"' not in shown(site, text)


def test_what_speaks_against_it_and_a_hold_with_its_reason_are_shown(site: Site) -> None:
    site.claim(width=30, document="example.org/b")
    assert "What the sources say" in shown(site, F1)
    case, tag = site.case()
    hold = {"ruling": "withhold", "why": "two parts did not go in"}
    assert site.post(f"/v1/reviews/{case}/decisions", hold, who="mia", match=tag).status_code == 201
    page = shown(site, F1)
    assert "On hold" in page
    assert "two parts did not go in" in page


def test_every_code_has_its_word() -> None:
    assert set(words.STANDING_NAMES) == set(STANDINGS)
    assert set(words.ADVICE_NAMES) == set(ADVICE)
    assert set(words.MOUNT_NAMES) == set(MOUNTS)


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ({"mount": "hardware", "bolt_mm": 8, "width_mm": Decimal("22.225")},
         "Mounting hardware: bolt M8, width between the tabs 22.225 mm, written 22.2."),
        ({"mount": "hardware", "bolt_mm": Decimal("7.9375"), "width_mm": 30, "bearing_compatible": True},
         "Mounting hardware: bolt 5/16 in, width between the tabs 30 mm, also takes a bearing eyelet of this size."),
        ({"mount": "trunnion"}, "Trunnion."),
        ({"mount": "open_eyelet", "eyelet_bore_mm": 10}, "Open eyelet: eyelet bore 10 mm."),
        ({"width_mm": 24}, "Width between the tabs 24 mm."),
        ({"eye_to_eye_mm": 210, "stroke_mm": Decimal("52.5")}, "Eye to eye 210 mm, stroke 52.5 mm."),
    ],
)  # fmt: skip
def test_a_value_is_said_in_words(value: dict[str, Any], said: str) -> None:
    assert words.value_words(value) == said


@pytest.mark.parametrize(
    ("years", "said"),
    [
        ({"from": 2021, "to": 2023}, "2021 to 2023"),
        ({"from": 2021, "to": 2021}, "2021"),
        ({"from": 2024}, "2024 on"),
    ],
)
def test_years_are_said_in_words(years: dict[str, int], said: str) -> None:
    assert words.years(years) == said
