"""Runs the bench vectors (tests/vectors/vectors.json) through the pure functions and compares as the file says."""

from __future__ import annotations

import json
import types
from collections.abc import Callable, Mapping, Sequence
from dataclasses import fields, is_dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any, Union, get_args, get_origin, get_type_hints

import pytest

from boltspan.domain.answers import as_mapping
from boltspan.domain.refusals import BenchRefusal

VECTORS = Path(__file__).parents[1] / "vectors" / "vectors.json"


def vectors(endpoint: str) -> list[Any]:
    """Return the vectors of one endpoint as pytest parameters; an endpoint without any is an error."""
    read = json.loads(VECTORS.read_text("utf-8"), parse_float=Decimal, parse_int=Decimal)
    found = [pytest.param(v, id=v["id"]) for v in read["tests"] if v["endpoint"] == f"/v1/bench/{endpoint}"]
    assert found, endpoint
    return found


def build(wanted: Any, value: Any) -> Any:
    """Return ``value`` (read from JSON) as the type ``wanted``: dataclass, tuple, Decimal, float, bool or text."""
    if get_origin(wanted) in (Union, types.UnionType):
        return build(next(each for each in get_args(wanted) if each is not type(None)), value)
    if get_origin(wanted) is tuple:
        inner = get_args(wanted)
        each = inner[:1] * len(value) if inner[-1] is Ellipsis else inner
        return tuple(build(one, item) for one, item in zip(each, value, strict=True))
    if is_dataclass(wanted):
        hints = get_type_hints(wanted)
        assert set(value) <= {f.name for f in fields(wanted)}, "unknown field"
        return wanted(**{name: build(hints[name], item) for name, item in value.items()})  # type: ignore[operator]
    return float(value) if wanted is float else value


def run(vector: Mapping[str, Any], wanted: Any, function: Callable[[Any], object]) -> None:
    """Run one vector and fail where the answer differs from what the vector wants."""
    if vector.get("status") == 422:
        with pytest.raises(BenchRefusal):
            function(build(wanted, vector["request"]))
        return
    answer = as_mapping(function(build(wanted, vector["request"])))
    for name, expected in vector["response_has"].items():
        assert name in answer, name
        compare(answer[name], expected, float(vector["tolerance"]), name)
    for name in vector.get("response_lacks", ()):
        assert name not in answer, name


def compare(got: Any, expected: Any, tolerance: float, where: str) -> None:
    """Fail unless ``got`` equals ``expected`` by the rules in the vector file's note."""
    if isinstance(expected, Mapping):
        for name, item in expected.items():
            compare(got[name], item, tolerance, f"{where}.{name}")
    elif isinstance(expected, Sequence) and not isinstance(expected, str):
        if expected and isinstance(expected[0], str):
            assert set(expected) <= set(got), where
        elif expected and isinstance(expected[0], Mapping):
            by_nominal = {item["nominal_mm"]: item for item in got}
            for item in expected:
                compare(by_nominal[item["nominal_mm"]], item, tolerance, where)
        else:
            assert len(got) == len(expected), where
            for place, item in enumerate(expected):
                compare(got[place], item, tolerance, f"{where}[{place}]")
    elif isinstance(expected, Decimal):
        assert abs(float(got) - float(expected)) <= tolerance, (where, got, expected)
    else:
        assert got == expected, where
