"""Every example against its schema, by jsonschema-rs and, as a second opinion, by python-jsonschema.

Both follow JSON Schema 2020-12, Core and Validation; they share no code.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema  # type: ignore[import-untyped]
import pytest
from referencing import Registry, Resource

from boltspan.dataset.locate import schema_folder
from boltspan.dataset.schemas import schema_problems, schemas, validator
from tests.schema.examples import EXAMPLES, NAMES, exact, expected, invalid, plain, valid


@cache
def second_opinion(name: str) -> jsonschema.Draft202012Validator:
    raw = {p.stem: json.loads(p.read_text("utf-8")) for p in schema_folder().glob("*.json")}
    registry: Registry[Any] = Registry().with_resources((s["$id"], Resource.from_contents(s)) for s in raw.values())
    return jsonschema.Draft202012Validator(
        raw[name], registry=registry, format_checker=jsonschema.Draft202012Validator.FORMAT_CHECKER
    )


@pytest.mark.parametrize("name", sorted(schemas()))
def test_the_schema_is_one_itself(name: str) -> None:
    jsonschema.Draft202012Validator.check_schema(json.loads((schema_folder() / f"{name}.json").read_text("utf-8")))
    validator(name)


@pytest.mark.parametrize(("name", "path"), valid())
def test_a_valid_example_passes(name: str, path: Path) -> None:
    assert schema_problems(f"{name}-1", exact(path)) == []
    assert list(second_opinion(f"{name}-1").iter_errors(plain(path))) == []


@pytest.mark.parametrize(("name", "path", "pointer"), invalid())
def test_an_invalid_example_fails_where_it_is_wrong_and_nowhere_else(name: str, path: Path, pointer: str) -> None:
    assert [p.pointer for p in schema_problems(f"{name}-1", exact(path))] == [pointer]


@pytest.mark.parametrize(("name", "path", "pointer"), invalid())
def test_the_second_opinion_is_the_same(name: str, path: Path, pointer: str) -> None:
    errors = list(second_opinion(f"{name}-1").iter_errors(plain(path)))
    assert errors
    places = {"/".join(map(str, ["", *e.absolute_path])) for e in errors}
    # a missing field and one too many are told at the object that should, or should not, hold them
    assert places <= {pointer, pointer.rpartition("/")[0]}


@pytest.mark.parametrize("name", NAMES)
def test_each_schema_has_valid_and_invalid_examples_and_each_invalid_one_says_why(name: str) -> None:
    assert list((EXAMPLES / name / "valid").glob("*.json"))
    files = {p.name for p in (EXAMPLES / name / "invalid").glob("*.json")}
    assert files
    assert files == set(json.loads((EXAMPLES / name / "expected.json").read_text("utf-8")))
    assert all(expected(EXAMPLES / name / "invalid" / f)["why"] for f in files)
