"""The frames that messy.csv speaks of, without claims. Every make and model is invented."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

from boltspan.domain.frames import Make, Model
from boltspan.domain.records import frame_from, frame_json, make_json, model_json
from boltspan.services.protocols import StoredFrame, UnitOfWork
from boltspan.services.publishing import republish

MESSY: Final = Path(__file__).with_name("messy.csv")
EXPECTED: Final = Path(__file__).with_name("messy_expected.csv")

_MAKES: Final = (
    Make("fennard", "Fennard", ("Fennard Cycles",)),
    Make("quillhope", "Quillhope"),
    Make("tarnvale", "Tarnvale", ("Tarnvale Works",)),
)
_MODELS: Final = (
    Model("fennard", "brindlemark", "Brindlemark"),
    Model("fennard", "kitterwake", "Kitterwake"),
    Model("fennard", "ossiter", "Ossiter"),
    Model("quillhope", "pellow", "Pellow", ("Pellow 100",)),
    Model("quillhope", "sandreel", "Sandreel"),
    Model("quillhope", "teaselmoor", "Teaselmoor"),
    Model("tarnvale", "gannoch", "Gannoch"),
    Model("tarnvale", "skerry", "Skerry", ("Skerry 150",)),
    Model("tarnvale", "wrackline", "Wrackline", ("Wrackline 29",)),
)
_SIZE: Final = {"kind": "frame_size", "ask": "Which size is printed on the seat tube: S, or M and larger?"}
_SERIAL: Final = {"kind": "serial", "ask": "What does the serial number under the bottom bracket say?"}
_DRAWING: Final = {
    "kind": "exploded_diagram",
    "document": "example.org/brindlemark-drawing",
    "seen_on": "2026-05-06",
    "by": "p-j99gry61dd",
}
_FRAMES: Final[tuple[tuple[str, str, int, int | None, dict[str, Any]], ...]] = (
    (
        "brindlemark", "f-43kneskfwe", 2020, 2022,
        {"same_ends": {"names": {"upper": "frame", "lower": "link"}, "source": _DRAWING}},
    ),
    ("brindlemark", "f-vthdwj1uv7", 2023, None, {}),
    ("kitterwake", "f-hs20s0jmcm", 2019, 2021, {}),
    ("kitterwake", "f-330uu1hj1p", 2022, 2023, {"qualifier": _SIZE | {"is": "M, L, XL"}}),
    ("kitterwake", "f-fgcq5sf8t1", 2022, 2023, {"qualifier": _SIZE | {"is": "S"}}),
    ("ossiter", "f-425tzc8b5e", 2022, 2024, {"qualifier": _SERIAL | {"to": "FO224999"}}),
    ("ossiter", "f-wf13cxpa1u", 2022, 2024, {"qualifier": _SERIAL | {"from": "FO225000"}}),
    ("pellow", "f-v406w8v9cg", 2015, 2018, {}),
    ("pellow", "f-z3hdrmyvjg", 2016, 2018, {"record": "merged", "into": "f-v406w8v9cg"}),
    ("sandreel", "f-fu4m5hyd5e", 2017, 2019, {}),
    ("sandreel", "f-sx9bvpcdwq", 2020, 2021, {}),
    ("teaselmoor", "f-rjy7cptgqm", 2020, 2022, {}),
    ("teaselmoor", "f-qnzqwugmvj", 2023, None, {}),
    ("gannoch", "f-59cz9msd2n", 2016, 2018, {}),
    ("gannoch", "f-vhwpraebv3", 2019, 2021, {}),
    (
        "gannoch", "f-se2x6ta8ga", 2022, 2023,
        {"record": "withdrawn", "withdrawn_on": "2026-04-01", "why": "no such frame was made"},
    ),
    ("skerry", "f-7k3m9q2dxw", 2021, 2023, {}),
    ("skerry", "f-1vnd9y6ssc", 2024, None, {}),
    ("wrackline", "f-gmgcyyj3jd", 2018, 2020, {}),
    ("wrackline", "f-ez83tbaffe", 2021, 2022, {}),
)  # fmt: skip
_ENDS: Final = {
    "tarnvale": ["upper", "lower"], "quillhope": ["front", "rear"], "fennard": ["frame", "link"],
    "kitterwake": ["shaft", "body"],
}  # fmt: skip


def plant_catalogue(uow: UnitOfWork) -> None:
    """Store the makes, models and frames, each with its event."""
    for make in _MAKES:
        uow.events.record(None, "make_added", payload={"make": make_json(make)})
        uow.catalogue.put_make(make)
    makes = {}
    for model in _MODELS:
        makes[model.slug] = model.make
        uow.events.record(None, "model_added", payload={"make_slug": model.make, "model": model_json(model)})
        uow.catalogue.put_model(model)
    for model_slug, frame_id, first, last, more in _FRAMES:
        make_slug = makes[model_slug]
        years = {"from": first} | ({} if last is None else {"to": last})
        ends = _ENDS.get(model_slug) or _ENDS[make_slug]
        data = {"id": frame_id, "record": "frame", "years": years, "ends": ends, **more}
        frame = frame_from(make_slug, model_slug, data)
        payload = {"make_slug": make_slug, "model_slug": model_slug, "frame": frame_json(frame)}
        sequence = uow.events.record(None, "frame_added", frame=frame_id, payload=payload)
        uow.catalogue.put_frame(StoredFrame(frame, sequence=sequence))
    republish(uow, [frame_id for _, frame_id, *_ in _FRAMES])
