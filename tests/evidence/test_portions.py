"""Learning portion by portion, and which claims go with which value."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import pytest

from boltspan.evidence import Portion, Snapshot, learn, prepare_model, resolve_batch, resolve_frame
from tests.evidence.made_up import World

WORLD = World(ends=400, seed=7)


def portions(frames_each: int) -> Iterable[Portion]:
    frames = list(dict.fromkeys(end["frame_id"] for end in WORLD.document["ends"]))
    for start in range(0, len(frames), frames_each):
        own = set(frames[start : start + frames_each])
        ends = [end for end in WORLD.document["ends"] if end["frame_id"] in own]
        ids = {end["end_id"] for end in ends}
        yield ends, [claim for claim in WORLD.document["claims"] if claim["end_id"] in ids]


@pytest.mark.parametrize("frames_each", [17, 100, 1000])
def test_portions_teach_what_the_whole_teaches(frames_each: int) -> None:
    model = prepare_model(WORLD.document["catalogue"])
    whole = resolve_batch(WORLD.document).snapshot("day")
    learnt = learn(lambda: portions(frames_each), model, "day")
    assert learnt.source_rates == pytest.approx(whole.source_rates, abs=1e-12)
    assert learnt.offsets_mm == pytest.approx(whole.offsets_mm, abs=1e-12)
    for part in ("contributors", "on_end"):
        some, others = getattr(learnt, part), getattr(whole, part)
        assert some.keys() == others.keys()
        for key, record in some.items():
            assert tuple(record) == pytest.approx(tuple(others[key]), abs=1e-12)


def test_nothing_teaches_the_rates_of_the_parameters() -> None:
    model = prepare_model([])
    learnt = learn(list, model, "day")
    assert learnt.contributors == {} == learnt.offsets_mm
    assert list(learnt.source_rates.values()) == model.unsound.tolist()


def claim(number: int, source: str, **more: Any) -> dict[str, Any]:
    stated = {"mount": "hardware", "contributor": f"p{number}", "sequence": number, "end_id": "e"}
    return {"claim_id": f"c{number}", "source": source, **stated, **more}


def test_claims_go_with_the_sizes_they_cannot_tell_apart() -> None:
    """A caliper on worn hardware goes with 22 and 22.2, a page with the size it names, a bare mount with no size."""
    catalogue = [{"mount": "hardware", "bolt_mm": 8, "width_mm": w, "count": 5} for w in (22, 22.2, 30)]
    claims = [
        claim(1, "spec_page", bolt_mm=8, width_mm=22.2, document_id="d"),
        claim(2, "caliper", bolt_mm=[8.05], width_mm=[22.07], feature="sleeve_bore"),
        claim(3, "maker_reply"),
        claim(4, "spec_page", mount="trunnion", document_id="e"),
    ]
    model = prepare_model(catalogue)
    rates = Snapshot("n", model.parameters.model_version, {})
    answer = resolve_frame([{"end_id": "e", "frame_id": "f"}], claims, model, rates, supported=True)
    goes = {(c["mount"], c.get("bolt_mm"), c.get("width_mm")): c["claims"] for c in answer["results"][0]["candidates"]}
    assert goes["hardware", 8.0, 22.2] == ["c1", "c2"]
    assert goes["hardware", 8.0, 22.0] == ["c2"]
    assert goes["hardware", 10.0, 22.2] == []
    assert goes["trunnion", None, None] == ["c4"]
