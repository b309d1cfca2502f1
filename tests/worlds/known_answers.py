"""An invented world as claims with known answers, for the calibration report.

    python -m tests.worlds.known_answers SEED FRAMES FILE

Everything in it is invented. The catalogue is drawn anew from what the world's ends are drawn from, so that it gives no
end's answer away.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections import Counter
from pathlib import Path
from typing import Any, Final

from boltspan.domain.claims import Claim
from boltspan.domain.values import EndValue, Value
from tests.worlds.chances import Chances
from tests.worlds.rates import Rates
from tests.worlds.sizes import draw_end
from tests.worlds.world import World

CATALOGUE_ENDS: Final = 1500


def known_answers(world: World) -> dict[str, Any]:
    """Return what ``boltspan evidence report`` reads: catalogue, ends, claims, and the true value of every end.

    Records that answer no more (merged, divided, withdrawn) and claims that were taken back are left out.
    """
    ends: list[dict[str, Any]] = []
    claims: list[dict[str, Any]] = []
    answers: list[dict[str, Any]] = []
    for entry, truth in world.entries():
        frame = entry.frame
        if frame.record != "frame":
            continue
        for end in frame.ends:
            end_id = f"{frame.id} {end}"
            ends.append({"end_id": end_id, "frame_id": frame.id})
            answer = {"end_id": end_id, **_value(truth.values[end])}
            if end in truth.later:
                answer["later"] = _value(truth.later[end])
            answers.append(answer)
        for claim in entry.claims:
            if claim.subject in frame.ends and claim.counts and (row := _row(claim)) is not None:
                claims.append({"sequence": len(claims), **row})
    return {"catalogue": _catalogue(world.seed, world.rates), "ends": ends, "claims": claims, "answers": answers}


def _value(value: Value) -> dict[str, Any]:
    assert isinstance(value, EndValue)
    if value.mount != "hardware":
        return {"mount": value.mount}
    return {"mount": "hardware", **_sizes(value)}


def _sizes(value: EndValue) -> dict[str, float]:
    sizes = {"bolt_mm": value.bolt_mm, "width_mm": value.width_mm}
    return {name: float(size) for name, size in sizes.items() if size is not None}


def _row(claim: Claim) -> dict[str, Any] | None:
    """Return a claim's row; a size without a mount is taken for hardware's, and nothing stated is no row."""
    source, stated = claim.source, claim.value
    value = stated if isinstance(stated, EndValue) else EndValue()
    row: dict[str, Any] = {
        "claim_id": claim.id,
        "end_id": f"{claim.frame} {claim.subject}",
        "source": source.kind,
        "contributor": source.by,
        "mount": value.mount or "hardware",
    }
    if (read := source.measurement) is not None:
        row["source"] = "caliper" if read.instrument.endswith("caliper") else "ruler"
        if value.mount is None:
            row["mount_stated"] = False
        if read.bolt_readings_mm:
            row |= {"bolt_mm": [float(mm) for mm in read.bolt_readings_mm], "feature": read.bolt_feature}
        if read.width_readings_mm:
            row |= {"width_mm": [float(mm) for mm in read.width_readings_mm], "width_feature": read.width_feature}
        return {name: field for name, field in row.items() if field is not None}
    if source.kind != "fitted" and source.document is not None:
        row["document_id"] = source.document
    sizes = _sizes(value) if row["mount"] == "hardware" else {}
    return row | sizes if value.mount is not None or sizes else None


def _catalogue(seed: int, rates: Rates) -> list[dict[str, Any]]:
    chances = Chances(seed, "catalogue")
    drawn = Counter(tuple(_value(draw_end(chances, rates)).items()) for _ in range(CATALOGUE_ENDS))
    return [{**dict(value), "count": count} for value, count in sorted(drawn.items(), key=str)]


def main(arguments: list[str] | None = None) -> int:
    """Write the set and say what was written."""
    parser = argparse.ArgumentParser(prog="python -m tests.worlds.known_answers", description=__doc__)
    parser.add_argument("seed", type=int, help="any whole number; the same one gives the same set")
    parser.add_argument("frames", type=int, help="how many frame records, 1 or more")
    parser.add_argument("file", type=Path, help="the JSON to write")
    args = parser.parse_args(arguments)
    if args.frames < 1:
        parser.error(f"frames: got {args.frames}; accepted: 1 or more")
    found = known_answers(World(args.seed, args.frames))
    args.file.write_text(json.dumps(found) + "\n", "utf-8")
    print(f"{len(found['ends'])} invented ends with {len(found['claims'])} claims in {args.file}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
