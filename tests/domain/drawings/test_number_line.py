"""The picture of an explanation: same figures as in its numbers, in words as well, whatever there is to show."""

from __future__ import annotations

import pytest

from boltspan.domain.drawings.evidence_rows import MOST, heaviest
from boltspan.domain.drawings.evidence_words import odds, percent, short_odds
from boltspan.domain.drawings.number_line import number_line
from boltspan.domain.explanation import ClaimWeight, Explanation
from boltspan.domain.values import EndValue
from boltspan.domain.weighed import WeighedCandidate
from tests.domain.drawings.ends import mm
from tests.domain.drawings.reading import SVG, numbers, read, span, spoken, written


def weight(
    kind: str, log10_odds: float, width: float | None = None, sd: float | None = None, bolt: float | None = None
) -> ClaimWeight:
    return ClaimWeight(
        f"c-{kind}", kind, "p-1", "2026-04-02", log10_odds, "", "hardware", bolt_mm=bolt, width_mm=width, width_sd_mm=sd
    )


def explained(weights: list[ClaimWeight], *candidates: tuple[EndValue, float], prior: float = 0.0) -> Explanation:
    weighed = tuple(WeighedCandidate(value, p) for value, p in candidates)
    return Explanation(
        frame="f-1", end="upper", outcome="accept", first=weighed[0], second=weighed[1], prior_log10_odds=prior,
        other_end_log10_odds=0.0, weights=tuple(weights), candidates=weighed, split_probability=0.0, witnesses=1,
        measurement_value=0.0, why=(), advice=(), model_version="1", snapshot="s",
    )  # fmt: skip


M8_22 = EndValue("hardware", mm(8), mm("22.225"))
M8_21 = EndValue("hardware", mm(8), mm("21.8"))
M10_22 = EndValue("hardware", mm(10), mm("22.225"))
TWO = explained(
    [weight("spec_page", 2.0, 22.2), weight("measured", 1.0, 22.18, 0.025), weight("retailer_chart", -1.2, 21.8)],
    (M8_22, 0.98),
    (M8_21, 0.01),
    prior=0.19,
)


def test_the_picture_says_in_words_what_it_shows() -> None:
    title, words = spoken(read(number_line(TWO)))
    assert title == "What the evidence says of the upper end"
    assert words == (
        "How likely: M8 x 22.2 98 %; M8 x 21.8 1 %. For M8 x 22.2 against M8 x 21.8: before any claim 1.5 : 1 for; "
        "1, spec page, of 2026-04-02, width 22.20 mm: 100 : 1 for; 2, measured, of 2026-04-02, width 22.18 ± 0.05 mm: "
        "10 : 1 for; 3, retailer chart, of 2026-04-02, width 21.80 mm: 16 : 1 against."
    )


def test_bars_are_as_long_as_their_figures() -> None:
    root = read(number_line(TWO))
    bars = [float(b.attrib["width"]) for b in root.iter(f"{SVG}rect")]
    outlines, filled = bars[0:6:2], bars[1:6:2]
    assert [full / whole for full, whole in zip(filled, outlines, strict=True)] == pytest.approx(
        [0.98, 0.01, 0.01], abs=1e-4
    )
    prior, first, second, third, total = bars[6:]
    assert [b / first for b in (prior, second, third, total)] == pytest.approx([0.19 / 2, 0.5, 0.6, 1.99 / 2], abs=1e-3)


def test_claims_stand_where_they_say_against_the_candidates() -> None:
    root = read(number_line(TWO))
    panel = next(iter(root.findall(f"{SVG}g")))
    dashed = [e for e in panel.iter(f"{SVG}line") if e.get("stroke-dasharray")]
    small, large = sorted(float(e.attrib["x1"]) for e in dashed)
    diamonds = [numbers(e.attrib["d"]) for e in panel.iter(f"{SVG}path")]
    page, chart = ((points[0] + points[4]) / 2 for points in diamonds)
    assert chart == pytest.approx(small, abs=0.02)
    assert (page - small) / (large - small) == pytest.approx((22.2 - 21.8) / (22.225 - 21.8), abs=1e-3)
    [bar] = [e for e in panel.iter(f"{SVG}line") if e.get("stroke-width") == "2"]
    long = float(bar.attrib["x2"]) - float(bar.attrib["x1"])
    assert long / (large - small) == pytest.approx(4 * 0.025 / (22.225 - 21.8), abs=2e-3)  # 2 u to each side


def test_bolts_have_a_line_where_candidates_differ_in_them() -> None:
    both = explained(
        [weight("manual", 1.0, 22.2, bolt=8), weight("fitted", -1.0, 22.2, bolt=10)], (M8_22, 0.5), (M10_22, 0.5)
    )
    texts = written(read(number_line(both)))
    assert [text for text in texts if text.endswith(", mm")] == [
        "Width, as stated or read, mm",
        "Bolt, as stated or read, mm",
    ]
    assert {"M8", "M10"} <= set(texts)
    assert "Bolt, as stated or read, mm" not in written(read(number_line(TWO)))


def test_nothing_and_mounts_without_sizes_are_drawn_too() -> None:
    bare = explained([], (EndValue("trunnion"), 0.5), (EndValue("bearing"), 0.2))
    texts = written(read(number_line(bare)))
    assert not [text for text in texts if text.endswith(", mm")]
    assert "Another size" in texts
    assert "30 %" in texts


def test_of_many_claims_the_heaviest_are_shown_and_the_rest_is_summed() -> None:
    many = [weight("measured", 0.1 * n, 22.2, 0.02) for n in range(MOST + 3)]
    rows = heaviest(many)
    assert rows.shown == tuple(many[3:])
    assert (rows.others, rows.others_log10_odds) == (3, pytest.approx(0.3))
    texts = written(read(number_line(explained(many, (M8_22, 0.9), (M8_21, 0.1)))))
    assert "3 others" in texts
    assert "2.0 : 1" in texts
    assert texts.count(f"{MOST} Measured") == 2


@pytest.mark.parametrize(
    ("p", "said"),
    [
        (1.0, "over 99.99 %"),
        (0.9998, "99.98 %"),
        (0.995, "99.5 %"),
        (0.5, "50 %"),
        (0.005, "0.5 %"),
        (0, "under 0.1 %"),
    ],
)
def test_no_probability_is_certain(p: float, said: str) -> None:
    assert percent(p) == said


@pytest.mark.parametrize(
    ("weight", "said", "short"),
    [
        (2, "100 : 1 for", "100 : 1"),
        (-0.5, "3.2 : 1 against", "1 : 3.2"),
        (0.01, "neither way", "neither way"),
        (9, "millions : 1 for", "millions : 1"),
        (-3.1, "1,300 : 1 against", "1 : 1,300"),
    ],
)
def test_odds_are_written_as_they_are_said(weight: float, said: str, short: str) -> None:
    assert (odds(weight), short_odds(weight)) == (said, short)


LONGEST = (EndValue("bearing", mm("12.7"), mm("57.15")), EndValue("bearing", mm("12.7"), mm("28.575")))


@pytest.mark.parametrize("weight_", [-12, -5.99, -3.1, -1.2, -0.01, 0.3, 3.1, 5.99, 12])
@pytest.mark.parametrize("values", [LONGEST, (M8_22, M8_21), (EndValue("bearing"), EndValue("open_eyelet", mm(10)))])
def test_nothing_reaches_over_an_edge_or_into_a_bar(weight_: float, values: tuple[EndValue, EndValue]) -> None:
    """Measured in a wide font. Everything is within the drawing, and no name or figure lies on a bar beside it."""
    many = [weight("exploded_diagram", weight_ * n / 14, 22.2, bolt=12.7) for n in range(1, MOST + 3)]
    many.append(weight("measured", weight_, 14.05, 2.5))
    root = read(number_line(explained(many, (values[0], 0.9996), (values[1], 0.0002), prior=weight_)))
    width = float(root.attrib["viewBox"].split()[2])
    boxes = [e for e in root.iter(f"{SVG}rect") if float(e.attrib["width"]) > 0]
    for box in boxes:
        assert 0 <= float(box.attrib["x"]) <= float(box.attrib["x"]) + float(box.attrib["width"]) <= width
    for line in root.iter(f"{SVG}line"):
        assert all(0 <= float(line.attrib[x]) <= width for x in ("x1", "x2"))
    for row in root.iter(f"{SVG}g"):
        bars = [e for e in row if e in boxes] + [e for inner in row.findall(f"{SVG}g") for e in inner if e in boxes]
        for text in row.findall(f"{SVG}text"):
            left, right = span(text)
            assert 0 <= left <= right <= width, text.text
            if text.get("font-weight") != "bold":
                for bar in bars if len(row.findall(f"{SVG}text")) <= 2 else ():
                    start = float(bar.attrib["x"])
                    assert right <= start or left >= start + float(bar.attrib["width"]), text.text
