"""Small random sets of claims for the tests of the model's properties; all invented."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

CATALOGUE = [
    {"mount": "hardware", "bolt_mm": 8.0, "width_mm": 22.0, "count": 50},
    {"mount": "hardware", "bolt_mm": 8.0, "width_mm": 22.2, "count": 110},
    {"mount": "hardware", "bolt_mm": 8.0, "width_mm": 38.1, "count": 70},
    {"mount": "hardware", "bolt_mm": 10.0, "width_mm": 22.2, "count": 20},
    {"mount": "hardware", "bolt_mm": 10.0, "width_mm": 28.0, "count": 35},
    {"mount": "hardware", "bolt_mm": 6.35, "width_mm": 20.0, "count": 10},
    {"mount": "trunnion", "count": 140},
    {"mount": "open_eyelet", "count": 70},
    {"mount": "bearing", "bolt_mm": 8, "width_mm": 25, "count": 60},
]
KNOWN_WIDTHS = (20.0, 22.0, 22.2, 28.0, 38.1)
DOCUMENTS = ("spec_page", "exploded_diagram", "manual", "maker_reply", "retailer_chart")
TOOLS = ("caliper", "ruler")
PEOPLE = ("p1", "p2", "p3")

known_widths = st.sampled_from(KNOWN_WIDTHS)
written_widths = st.one_of(known_widths, st.sampled_from((21.9, 24.3, 47.5, 61.0, 8.0, 3.5)))
written_bolts = st.one_of(st.sampled_from((6.0, 8.0, 10.0, 12.0, 12.7)), st.sampled_from((7.94, 9.0, 25.4, 22.2)))
other_mounts = st.sampled_from(("bearing", "open_eyelet", "proprietary", "trunnion"))


@st.composite
def readings(draw: st.DrawFn, near: float, spread: float) -> list[float]:
    """One or three readings about a size, to a hundredth."""
    count = draw(st.sampled_from((1, 3)))
    return [round(near + draw(st.floats(-spread, spread)), 2) for _ in range(count)]


@st.composite
def measurements(draw: st.DrawFn) -> dict[str, Any]:
    """The part of a claim that a tool fills in."""
    claim: dict[str, Any] = {"source": draw(st.sampled_from(TOOLS)), "mount": "hardware"}
    if draw(st.integers(0, 9)) == 0:
        return claim | {"mount": draw(other_mounts)}
    claim |= draw(st.fixed_dictionaries({}, optional={
        "feature": st.sampled_from(("thread_crest", "shank", "sleeve_bore")),
        "width_feature": st.sampled_from(("tab_gap", "hardware_width")),
    }))  # fmt: skip
    if draw(st.booleans()):
        claim["mount_stated"] = draw(st.booleans())
    if draw(st.integers(0, 9)) > 0:
        claim["bolt_mm"] = draw(readings(draw(st.sampled_from((6.0, 7.9, 8.1, 9.9, 12.75, 15.0))), 0.15))
    if draw(st.integers(0, 9)) > 0:
        claim["width_mm"] = draw(readings(draw(written_widths), 0.3))
    return claim


@st.composite
def documents(draw: st.DrawFn) -> dict[str, Any]:
    """The part of a claim that is read from a page, or remembered by who fitted it."""
    claim: dict[str, Any] = {"source": draw(st.sampled_from((*DOCUMENTS, "fitted"))), "mount": "hardware"}
    if draw(st.booleans()):
        claim["document_id"] = draw(st.sampled_from(("d1", "d2")))
    if draw(st.integers(0, 4)) == 0:
        return claim | {"mount": draw(other_mounts)}
    if draw(st.integers(0, 9)) > 0:
        claim["bolt_mm"] = draw(written_bolts)
    if draw(st.integers(0, 9)) > 0:
        claim["width_mm"] = draw(written_widths)
    return claim


@st.composite
def batches(draw: st.DrawFn, most_claims: int = 10) -> dict[str, Any]:
    """A document of up to three frames, one or two ends each, in any order."""
    ends = []
    for number in range(draw(st.integers(1, 3))):
        ends += [
            {"end_id": f"e{number}{name}", "frame_id": f"f{number}"} for name in ("ab" if draw(st.booleans()) else "a")
        ]
    claims = []
    for number in range(draw(st.integers(0, most_claims))):
        fixed = {
            "claim_id": f"c{number}",
            "sequence": draw(st.integers(0, 5)),
            "end_id": draw(st.sampled_from(ends))["end_id"],
            "contributor": draw(st.sampled_from(PEOPLE)),
        }
        claims.append(fixed | draw(st.one_of(measurements(), documents())))
    return {"catalogue": CATALOGUE, "ends": ends, "claims": claims}
