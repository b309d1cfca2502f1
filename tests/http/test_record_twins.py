"""The marshmallow twins accept and refuse just what the JSON Schemas do, one change anywhere at a time."""

from __future__ import annotations

import copy
import random
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import marshmallow as ma
import pytest

from boltspan.dataset.locate import dataset_folder
from boltspan.dataset.schemas import validator
from boltspan.http.schemas.twins import TWINS
from tests.schema.examples import exact, invalid, valid

REPLACEMENTS: tuple[Any, ...] = (
    None,
    True,
    False,
    0,
    1,
    -1,
    2021,
    Decimal("2021.0"),
    Decimal("2021.5"),
    Decimal("22.2"),
    5,
    12,
    16,
    80,
    100,
    2000,
    2001,
    2101,
    2**53 - 1,
    2**53,
    "",
    " ",
    "x",
    "  two  blanks",
    "end\n",
    "tab\tstop",
    "a\u200bb",
    "a\x00b",
    "=1+1",
    "ÅB c",
    "x" * 61,
    "x" * 81,
    "x" * 201,
    "x" * 501,
    "a-b",
    "a--b",
    "-a",
    "A",
    "2026-02-28",
    "2026-02-30",
    "1989-12-31",
    "2026-1-1",
    "２０２６-01-01",
    "f-0000000000",
    "s-0000000000",
    "h-0000000000",
    "f-000000000i",
    "f-00000000000",
    "f-0000000000\n",
    "c-0000000000",
    "d-0000000000",
    "p-0000000000",
    "rule/1",
    "rule/2",
    "https://example.org/a",
    "http://example.org:80/a?b#c",
    "https://a@example.org/",
    "ftp://example.org/",
    "https://",
    "https://exa mple.org/",
    "HTTPS://EXAMPLE.ORG",
    "https://[::1]/a",
    "javascript:1",
    "hardware",
    "trunnion",
    "bearing",
    "open_eyelet",
    "proprietary",
    "measured",
    "fitted",
    "spec_page",
    "manual",
    "settle",
    "leave_open",
    "refuse_claims",
    "withhold",
    "reverse",
    "frame",
    "merged",
    "divided",
    "withdrawn",
    "upper",
    "front",
    "frame/1",
    "shock/1",
    "hardware/1",
    "shock",
    "eyelet",
    "bearing_eyelet",
    "fixed",
    "make/1",
    "2026.04.0",
    "2026.13.0",
    "2026.04.01",
    "1.0.0",
    "01.0.0",
    "CC0-1.0",
    "a" * 64,
    "a/b.csv",
    "../b",
    ".b",
    "a//b",
    "text/csv",
    [],
    {},
    [1],
    ["x"],
    ["x", "x"],
    ["c-0000000000"],
    ["c-0000000000"] * 2,
    ["f-0000000000", "f-0000000001"],
    ["upper", "lower"],
    ["upper"],
    ["upper", "rear"],
    ["lower", "upper"],
    ["front", "rear"],
    {"x": 1},
    {"mount": "trunnion"},
    {"eyelet_bore_mm": 15},
    {"sizes": [{"eye_to_eye_mm": 210, "stroke_mm": 55}]},
    {"eye_to_eye_mm": 210},
    {"width_mm": 30},
    {"bolt": [30]},
    {"width": [30]},
    {"bolt": "shank", "width": "tab_gap"},
    {"front": "upper", "rear": "lower"},
    {"front": "upper", "rear": "upper"},
    {"from": 2021},
    {"from": 2021, "to": 2020},
    {"kind": "serial", "ask": "?"},
    {"kind": "serial", "ask": "?", "is": "x"},
)


MANY_PLACES, DRAWN = 30, 12


def agreed(name: str, data: Any) -> bool:
    """Return whether both accept ``data``; fail when they differ."""
    by_schema = validator(name).is_valid(data)
    try:
        TWINS[name](data)().load(data)
        by_twin = True
    except ma.ValidationError:
        by_twin = False
    assert by_schema == by_twin, f"schema {by_schema}, twin {by_twin}: {data!r}"
    return by_schema


def places(data: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Yield the path of every value in ``data``."""
    yield path
    items = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, value in items:
        yield from places(value, (*path, key))


def changed(data: Any, path: tuple[Any, ...], value: Any) -> Any:
    """Return ``data`` with the value at ``path`` replaced."""
    if not path:
        return value
    made = copy.deepcopy(data)
    at = made
    for key in path[:-1]:
        at = at[key]
    at[path[-1]] = value
    return made


def without(data: Any, path: tuple[Any, ...]) -> Any:
    """Return ``data`` without the value at ``path``."""
    made = copy.deepcopy(data)
    at = made
    for key in path[:-1]:
        at = at[key]
    del at[path[-1]]
    return made


def variants(data: Any) -> Iterator[Any]:
    """Yield every variant with one value replaced, left out, or one field or entry too many.

    In a large document each value is replaced by some of the replacements only, drawn alike in every run.
    """
    everywhere = list(places(data))
    drawn = random.Random(len(everywhere))
    for path in everywhere:
        large = len(everywhere) > MANY_PLACES
        for value in drawn.sample(REPLACEMENTS, DRAWN) if large else REPLACEMENTS:
            yield changed(data, path, value)
        if path:
            yield without(data, path)
        here = data
        for key in path:
            here = here[key]
        if isinstance(here, dict):
            for key, value in (
                ("x", 1),
                ("value", {"mount": "trunnion"}),
                ("into", "f-0000000000"),
                ("page", "3"),
                ("url", "https://example.org/"),
                ("years", {"from": 2021}),
                ("mount", "trunnion"),
                ("bearing_compatible", True),
                ("eyelet_bore_mm", 12),
                ("eyelet_width_mm", 22),
                ("bearings", "fixed"),
                ("only", True),
                ("reverses", "d-0000000000"),
                ("refuses", ["c-0000000000"]),
                ("overrules", ["c-0000000000"]),
                ("why", "x"),
                ("withdrawn", {"on": "2026-01-01", "why": "x"}),
                ("readings_mm", {"width": [30]}),
                ("same_ends", {"names": {"front": "upper", "rear": "lower"}}),
                ("records", 1),
            ):
                if key not in here:
                    yield changed(data, path, {**here, key: value})
        elif isinstance(here, list) and here:
            yield changed(data, path, [*here, here[0]])


@pytest.mark.parametrize(("name", "path"), valid())
def test_one_change_to_a_valid_example(name: str, path: Path) -> None:
    data = exact(path)
    assert agreed(f"{name}-1", data)
    verdicts = [agreed(f"{name}-1", variant) for variant in variants(data)]
    assert True in verdicts
    assert False in verdicts


@pytest.mark.parametrize(("name", "path", "pointer"), invalid())
def test_an_invalid_example_is_refused_by_both(name: str, path: Path, pointer: str) -> None:
    assert not agreed(f"{name}-1", exact(path)), pointer


def test_the_shipped_files_are_accepted_by_both() -> None:
    root = dataset_folder()
    files = {
        "dataset-1": [root / "dataset.json"],
        "make-1": sorted(root.glob("makes/*.json")),
        "frame-1": sorted(root.glob("frames/*/*.json")),
        "shock-1": sorted(root.glob("shocks/*/*.json")),
        "hardware-1": sorted(root.glob("hardware/*.json")),
    }
    for name, paths in files.items():
        assert paths
        assert all(agreed(name, exact(path)) for path in paths)


def test_the_number_of_places_is_what_a_schema_cannot_say() -> None:
    data = {
        "id": "c-0000000000",
        "value": {"width_mm": Decimal("22.2222222")},
        "source": {"kind": "fitted", "seen_on": "2026-01-01", "by": "p-0000000000"},
    }
    assert validator("claim-1").is_valid(data)
    with pytest.raises(ma.ValidationError):
        TWINS["claim-1"](data)().load(data)
