"""Hypothesis strategies for whole sound datasets: any lengths, any texts, every kind of record."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from hypothesis import strategies as st

from boltspan.dataset.contents import Dataset, FrameEntry, in_order
from boltspan.domain.fields import FIRST_DAY
from boltspan.domain.frames import END_PAIRS, QUALIFIERS, Frame, Make, Model
from boltspan.domain.instruments import KINDS as INSTRUMENTS
from boltspan.domain.lengths import from_nm, to_nm
from boltspan.domain.records import frame_from
from boltspan.domain.sources import KINDS
from boltspan.domain.statements import claim_from, decision_from
from boltspan.domain.value_sizes import BOLT_RANGE, BORE_RANGE, EYE_TO_EYE_RANGE, STROKE_RANGE, WIDTH_RANGE

PEOPLE = [f"p-000000000{n}" for n in "abcdefgh"]


def lengths(bounds: tuple[Decimal, Decimal]) -> st.SearchStrategy[Decimal]:
    """Return lengths over the first bound up to the second, to the nanometre."""
    return st.integers(to_nm(bounds[0]) + 1, to_nm(bounds[1])).map(from_nm)


def texts(most: int) -> st.SearchStrategy[str]:
    """Return plain texts, line breaks and all scripts included."""
    letters = st.one_of(st.characters(exclude_categories=["Cs", "Cc", "Cf", "Co", "Cn"]), st.sampled_from("\n\té"))
    return st.text(letters, min_size=1, max_size=most // 4).filter(lambda t: bool(t.strip()))


DATES = st.dates(min_value=FIRST_DAY).map(str)
URLS = st.builds(
    "{}{}{}{}".format,
    st.sampled_from(["http://", "https://"]),
    st.sampled_from(["example.org", "www.example.com:8080", "EXAMPLE.net", "a.example:443"]),
    st.sampled_from(["", "/", "/a/b/", "/e\u0301t\u00e9", "/%e2%80"]),
    st.sampled_from(["", "?page=2", "#top", "?q=\u212b"]),
)


@st.composite
def sources(draw: st.DrawFn, kinds: tuple[str, ...] = KINDS) -> dict[str, Any]:
    """Return sources of ``kinds`` as files write them."""
    kind = draw(st.sampled_from(kinds))
    found: dict[str, Any] = {"kind": kind, "seen_on": draw(DATES), "by": draw(st.sampled_from(PEOPLE))}
    for key, most in (("document", 500), ("page", 60), ("quote", 500)):
        if draw(st.booleans()) or (key == "document" and kind not in ("measured", "fitted")):
            found[key] = draw(texts(most))
    if draw(st.booleans()):
        found["url"] = draw(URLS)
        if draw(st.booleans()):
            found.pop("document", None)
    if kind == "measured":
        step = draw(st.sampled_from([Decimal("0.01"), Decimal("0.05"), Decimal(1), Decimal("0.396875")]))
        found["instrument"] = {"kind": draw(st.sampled_from(INSTRUMENTS)), "resolution_mm": step}
        parts = draw(st.sampled_from([("bolt",), ("width",), ("bolt", "width")]))
        features = {"bolt": ["thread_crest", "shank", "sleeve_bore"], "width": ["tab_gap", "hardware_width"]}
        found["features"] = {p: draw(st.sampled_from(features[p])) for p in parts}
        reading = lengths((Decimal(0), Decimal(2000)))
        found["readings_mm"] = {p: draw(st.lists(reading, min_size=1, max_size=3)) for p in parts}
    return found


@st.composite
def end_values(draw: st.DrawFn) -> dict[str, Any]:
    """Return values of an end, partial ones included."""
    mount = draw(st.sampled_from(["hardware", "bearing", "trunnion", "open_eyelet", "proprietary", None]))
    found: dict[str, Any] = {} if mount is None else {"mount": mount}
    fields: dict[str, st.SearchStrategy[Any]] = {}
    if mount in ("hardware", "bearing", None):
        fields["bolt_mm"] = lengths(BOLT_RANGE)
    if mount not in ("trunnion", "proprietary"):
        fields["width_mm"] = lengths(WIDTH_RANGE)
    if mount == "open_eyelet":
        fields["eyelet_bore_mm"] = lengths(BORE_RANGE)
    if mount in ("hardware", None):
        fields["bearing_compatible"] = st.just(True)
    for key, values in fields.items():
        if draw(st.booleans()) or (mount is None and key == "width_mm"):
            found[key] = draw(values)
    return found


def shock_sizes() -> st.SearchStrategy[dict[str, Any]]:
    """Return shock sizes with either number or both; any stroke in range is shorter than any shock over 120."""
    long = lengths((Decimal(121), EYE_TO_EYE_RANGE[1]))
    both = st.fixed_dictionaries({"eye_to_eye_mm": long, "stroke_mm": lengths(STROKE_RANGE)})
    return st.one_of(both, both.map(lambda v: {"stroke_mm": v["stroke_mm"]}))


@st.composite
def entries(draw: st.DrawFn, make: str, model: str, number: int) -> FrameEntry:
    """Return a frame of the model, the ``number``-th of all, with its claims and decisions."""
    frame = _frame(draw, make, model, number)
    claims, decisions = [], []
    for place, subject in enumerate(frame.subjects):
        kinds = tuple(k for k in KINDS if k != "measured") if subject == "shock_size" else KINDS
        about = shock_sizes() if subject == "shock_size" else end_values()
        of_subject = []
        for i in range(draw(st.integers(0, 3))):
            source = draw(sources(kinds))
            data: dict[str, Any] = {"id": f"c-{number:04d}{place}{i:05d}", "source": source}
            if source["kind"] != "measured" or draw(st.booleans()):
                data["value"] = draw(about)
            if draw(st.booleans()):
                data["years"] = {"from": frame.years.start, "to": draw(st.integers(frame.years.start, 2100))}
            if draw(st.integers(0, 5)) == 0:
                data["withdrawn"] = {"on": draw(DATES), "why": draw(texts(500))}
            of_subject.append(claim_from(frame, subject, data))
        claims += of_subject
        for i in range(draw(st.integers(0, 2))):
            data = _decision(draw, [c.id for c in of_subject], about, f"{number:04d}{place}", i)
            decisions.append(decision_from(frame, subject, data))
    return FrameEntry(frame, tuple(claims), tuple(decisions))


def _decision(
    draw: st.DrawFn, claims: list[str], about: st.SearchStrategy[dict[str, Any]], prefix: str, i: int
) -> dict[str, Any]:
    rulings = ["leave_open", "withhold"] + (["settle", "refuse_claims"] if claims else []) + (["reverse"] if i else [])
    ruling = draw(st.sampled_from(rulings))
    found: dict[str, Any] = {"id": f"d-{prefix}{i:05d}", "on": draw(DATES), "ruling": ruling, "why": draw(texts(500))}
    found["by"] = draw(st.sampled_from([*PEOPLE, "rule/1"]))
    some = st.lists(st.sampled_from(claims), min_size=1, unique=True) if claims else st.nothing()
    if ruling == "settle":
        found |= {"value": draw(about), "rests_on": draw(some)}
        if draw(st.booleans()):
            found["overrules"] = draw(some)
    elif ruling == "refuse_claims":
        found["refuses"] = draw(some)
    elif ruling == "reverse":
        found["reverses"] = f"d-{prefix}{0:05d}"
    return found


def _frame(draw: st.DrawFn, make: str, model: str, number: int) -> Frame:
    """Return a frame whose years overlap with no other number's of its model."""
    start = 1980 + 10 * (number % 10)
    ends = draw(st.sampled_from(END_PAIRS))
    data: dict[str, Any] = {
        "id": f"f-{number:010d}",
        "record": "frame",
        "years": {"from": start, "to": draw(st.integers(start, start + 9))},
        "ends": list(ends),
    }
    if draw(st.booleans()):
        bounds = draw(st.sets(st.sampled_from(["from", "to", "is"]), min_size=1))
        data["qualifier"] = {"kind": draw(st.sampled_from(QUALIFIERS)), "ask": draw(texts(200))}
        data["qualifier"] |= {b: draw(texts(60)) for b in bounds}
    if draw(st.booleans()):
        other = draw(st.sampled_from([p for p in END_PAIRS if p != ends]))
        names = dict(zip(other, draw(st.permutations(ends)), strict=True))
        data["same_ends"] = {"names": names, "source": draw(sources())}
    if draw(st.integers(0, 4)) == 0:
        data |= {"record": "withdrawn", "withdrawn_on": draw(DATES), "why": draw(texts(500))}
    elif number % 10 and draw(st.integers(0, 4)) == 0:
        data |= {"record": "merged", "into": f"f-{number - number % 10:010d}"}
    return frame_from(make, model, data)


@st.composite
def datasets(draw: st.DrawFn) -> Dataset:
    """Return sound datasets of up to two makes, two models each, three frames each."""
    makes, models, found = [], [], []
    for m in range(draw(st.integers(0, 2))):
        aliases = (f"Make Nr {m}",) if draw(st.booleans()) else ()
        make = Make(f"make-{m}", draw(st.sampled_from([f"Make {m}", f"Mákè {m}", f"«{m}» Co."])), aliases)
        makes.append(make)
        for n in range(draw(st.integers(0, 2))):
            models.append(Model(make.slug, f"model-{n}", f"Model {n}"))
            start = (m * 2 + n) * 10
            found += [draw(entries(make.slug, f"model-{n}", start + i)) for i in range(draw(st.integers(0, 3)))]
    title = draw(st.sampled_from(["Invented", "Erfunden – für Tests"]))
    there = {e.frame.id for e in found}
    kept = [e for e in found if set(e.frame.into) <= there]
    head = draw(st.integers(0, 2**53 - 1))
    return in_order(Dataset(title, "CC0-1.0", True, head, tuple(makes), tuple(models), tuple(kept)))
