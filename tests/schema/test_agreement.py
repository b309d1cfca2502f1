"""The schemas and the domain say the same: the words, the bounds, the forms of ids, the letters a text may hold."""

from __future__ import annotations

import re
import sys
import unicodedata
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from boltspan.dataset import keyorder
from boltspan.dataset.schemas import FILES, schema_problems, schemas, versions
from boltspan.domain import (
    features,
    fields,
    frames,
    hardware_sizes,
    ids,
    instruments,
    lengths,
    names,
    review,
    shock_values,
    shocks,
    sources,
    statements,
    value_sizes,
    values,
)
from boltspan.domain.claims import Claim
from boltspan.domain.errors import InvalidInput
from boltspan.domain.frames import Frame, Years
from boltspan.domain.records import frame_from, make_from, model_from
from boltspan.domain.shock_records import shock_from, shock_model_from
from boltspan.domain.statements import claim_from, claim_json, decision_from, decision_json
from tests.schema.examples import exact, invalid, valid

FRAME = Frame("f-7k3m9q2dxw", "tarnvale", "skerry", "frame", Years(2021, 2023), ("upper", "lower"))


def at(name: str, place: str) -> Any:
    found: Any = schemas()[name]
    for part in place.split("/"):
        found = found[part]
    return found


@pytest.mark.parametrize(
    ("name", "place", "words"),
    [
        ("value-1", "$defs/mount/enum", values.MOUNTS),
        ("value-1", "$defs/shock_mount/enum", shock_values.SHOCK_MOUNTS),
        ("value-1", "$defs/shock_end_value/properties/bearings/enum", shock_values.BEARINGS),
        ("shock-1", "$defs/shock/properties/record/enum", shocks.SHOCK_RECORDS),
        ("shock-1", "$defs/shock/properties/subjects/required", [shock_values.SIZES, *shocks.SHOCK_ENDS]),
        ("hardware-1", "$defs/sizes/properties/source/properties/kind/not/enum", hardware_sizes.UNFIT_SOURCES),
        ("source-1", "$defs/source/properties/kind/enum", sources.KINDS),
        ("source-1", "$defs/source/properties/instrument/properties/kind/enum", instruments.KINDS),
        ("source-1", "properties/features/properties/bolt/enum", features.BOLT_FEATURES),
        ("source-1", "properties/features/properties/width/enum", features.WIDTH_FEATURES),
        ("source-1", "properties/features/properties", features.FRAME_PARTS),
        ("source-1", "$defs/of_eyelet/properties/features/properties", features.EYELET_PARTS),
        ("source-1", "$defs/source/properties/readings_mm/properties", sources.PARTS),
        ("decision-1", "$defs/decision/properties/ruling/enum", review.RULINGS),
        ("frame-1", "$defs/frame/properties/record/enum", frames.RECORDS),
        ("frame-1", "$defs/qualifier/properties/kind/enum", frames.QUALIFIERS),
        ("fields-1", "$defs/end/enum", [end for pair in frames.END_PAIRS for end in pair]),
        ("fields-1", "$defs/ends/enum", [list(pair) for pair in frames.END_PAIRS]),
    ],
)
def test_the_words_are_the_domains(name: str, place: str, words: Any) -> None:
    assert list(at(name, place)) == list(words)


@pytest.mark.parametrize(
    ("field", "bounds"),
    [
        ("bolt_mm", value_sizes.BOLT_RANGE),
        ("width_mm", value_sizes.WIDTH_RANGE),
        ("eyelet_bore_mm", value_sizes.BORE_RANGE),
        ("shock_bore_mm", value_sizes.BORE_RANGE),
        ("eyelet_width_mm", value_sizes.EYELET_WIDTH_RANGE),
        ("eyelet_outer_mm", value_sizes.EYELET_OUTER_RANGE),
        ("eye_to_eye_mm", value_sizes.EYE_TO_EYE_RANGE),
        ("stroke_mm", value_sizes.STROKE_RANGE),
    ],
)
def test_sizes_have_the_domains_bounds(field: str, bounds: tuple[Decimal, Decimal]) -> None:
    schema = at("value-1", f"$defs/{field}")
    assert (schema["exclusiveMinimum"], schema["maximum"]) == bounds


def test_other_bounds_are_the_domains() -> None:
    assert (at("fields-1", "$defs/year/minimum"), at("fields-1", "$defs/year/maximum")) == frames.YEARS
    assert at("fields-1", "$defs/length_mm/maximum") == lengths.MOST_MM
    assert at("fields-1", "$defs/name/maxLength") == names.MOST_CHARACTERS
    assert at("fields-1", "$defs/slug/maxLength") == names.MOST_SLUG
    assert at("source-1", "$defs/readings/maxItems") == sources.MOST_READINGS
    assert at("value-1", "$defs/shock_sizes/properties/sizes/maxItems") == shock_values.MOST_SIZES
    assert at("hardware-1", "$defs/sizes/properties/widths_mm/maxItems") == hardware_sizes.MOST_WIDTHS
    assert at("source-1", "$defs/source/properties/url/maxLength") == sources.MOST_URL
    assert at("source-1", "$defs/source/properties/document/maxLength") == sources.MOST_DOCUMENT
    assert at("source-1", "$defs/source/properties/quote/maxLength") == statements.MOST_QUOTE


@pytest.mark.parametrize("kind", ["frame", "shock", "hardware", "claim", "decision", "person"])
def test_ids_have_the_domains_form(kind: str) -> None:
    assert at("fields-1", f"$defs/{kind}_id/pattern") == ids.pattern(kind)


def test_a_decision_is_by_a_person_or_the_rule() -> None:
    pattern = at("decision-1", "$defs/decision/properties/by/pattern")
    assert re.search(pattern, ids.RULE_AUTHOR)
    assert re.search(pattern, ids.mint("person"))


def test_slugs_have_the_domains_form() -> None:
    assert at("fields-1", "$defs/slug/pattern") == f"^{names.SLUG.pattern.replace('(?:', '(')}$"


def test_a_plain_text_holds_the_characters_that_the_domain_takes() -> None:
    visible = re.compile(at("fields-1", "$defs/plain_text/allOf")[1]["pattern"])
    for code in range(sys.maxunicode + 1):
        ch = chr(code)
        if unicodedata.category(ch) in ("Cs", "Cn"):
            continue  # halves of pairs never come this far; an unassigned character may get any meaning yet
        try:
            fields.text_from(f"a{ch}", "", 9)
            taken = True
        except InvalidInput:
            taken = False
        assert bool(visible.search(ch)) == taken, f"U+{code:04X}"


@pytest.mark.parametrize("name", [n for n in schemas() if n not in ("fields-1", "value-1")])
def test_only_named_fields_are_taken(name: str) -> None:
    """Every object with fields of its own refuses others; those without leave them to the part that refines them."""
    for place, schema in objects(schemas()[name], ""):
        if schema.get("properties") and schema.get("type") == "object":
            assert schema.get("additionalProperties") is False, f"{name}#{place}"


def objects(schema: Any, place: str) -> list[tuple[str, dict[str, Any]]]:
    if isinstance(schema, list):
        return [found for i, s in enumerate(schema) for found in objects(s, f"{place}/{i}")]
    if not isinstance(schema, dict):
        return []
    return [(place, schema), *(found for key, s in schema.items() for found in objects(s, f"{place}/{key}"))]


PLACES = {
    "dataset": ("dataset-1", "properties"),
    "make": ("make-1", "properties"),
    "frames": ("frame-1", "properties"),
    "model": ("frame-1", "properties/model/properties"),
    "frame": ("frame-1", "$defs/frame/properties"),
    "same_ends": ("frame-1", "$defs/frame/properties/same_ends/properties"),
    "qualifier": ("frame-1", "$defs/qualifier/properties"),
    "shocks": ("shock-1", "properties"),
    "shock": ("shock-1", "$defs/shock/properties"),
    "sold_with": ("shock-1", "$defs/sold_with/properties"),
    "hardware": ("hardware-1", "properties"),
    "hardware_sizes": ("hardware-1", "$defs/sizes/properties"),
    "shock_size": ("value-1", "$defs/shock_size/properties"),
    "subject": ("frame-1", "$defs/end/properties"),
    "years": ("fields-1", "$defs/years/properties"),
    "claim": ("claim-1", "$defs/claim/properties"),
    "withdrawn": ("claim-1", "$defs/claim/properties/withdrawn/properties"),
    "superseded": ("claim-1", "$defs/claim/properties/superseded/properties"),
    "decision": ("decision-1", "$defs/decision/properties"),
    "source": ("source-1", "$defs/source/properties"),
    "instrument": ("source-1", "$defs/source/properties/instrument/properties"),
    "features": ("source-1", "$defs/source/properties/readings_mm/properties"),  # the parts are the same
    "readings": ("source-1", "$defs/source/properties/readings_mm/properties"),
}


@pytest.mark.parametrize("kind", PLACES)
def test_the_table_of_keys_has_the_schemas_fields_in_their_order(kind: str) -> None:
    assert list(keyorder.KEYS[kind]) == list(at(*PLACES[kind]))


def test_the_table_of_keys_is_whole() -> None:
    end, size = at("value-1", "$defs/end_value/properties"), at("value-1", "$defs/shock_size/properties")
    of_shock = [k for k in at("value-1", "$defs/shock_end_value/properties") if k not in end]
    assert list(keyorder.KEYS["value"]) == [*end, *of_shock, *size, *at("value-1", "$defs/shock_sizes/properties")]
    ends = at("fields-1", "$defs/end/enum")
    assert list(keyorder.KEYS["subjects"]) == ["shock_size", "sizes", *ends]
    assert list(keyorder.KEYS["names"]) == sorted(ends)
    assert set(keyorder.KEYS) == set(PLACES) | {"value", "subjects", "names"}
    assert set(FILES) <= set(keyorder.KEYS)


def read_shocks(data: Any) -> Any:
    """Return all that a shock file says, statements too."""
    model = shock_model_from(data["make"], data["model"], "/model")
    found: list[Any] = [model]
    for i, item in enumerate(data["shocks"]):
        shock = shock_from(model.make, model.slug, item, f"/shocks/{i}")
        found.append(shock)
        for subject, about in item["subjects"].items():
            at_subject = f"/shocks/{i}/subjects/{subject}"
            read_one = {"claims": claim_from, "decisions": decision_from}
            for kind, one in read_one.items():
                statements_ = about.get(kind, [])
                found += [one(shock, subject, s, f"{at_subject}/{kind}/{j}") for j, s in enumerate(statements_)]
    return found


def read(name: str, data: Any) -> Any:
    """Return what the domain makes of an example of a schema."""
    if name == "make":
        return make_from(data)
    if name == "frame":
        model = model_from(data["make"], data["model"], "/model")
        frames = [frame_from(model.make, model.slug, f, f"/frames/{i}") for i, f in enumerate(data["frames"])]
        return model, frames
    if name == "shock":
        return read_shocks(data)
    if name == "hardware":
        return [hardware_sizes.hardware_sizes_from(row, f"/sizes/{i}") for i, row in enumerate(data["sizes"])]
    about = data.get("value", {})
    subject = (
        "shock_size" if {"eye_to_eye_mm", "stroke_mm"} & set(about if isinstance(about, dict) else {}) else "upper"
    )
    return claim_from(FRAME, subject, data) if name == "claim" else decision_from(FRAME, subject, data)


@pytest.mark.parametrize(("name", "path"), [p for p in valid() if p.values[0] not in ("dataset", "release")])
def test_the_domain_reads_each_valid_example(name: str, path: Path) -> None:
    found = read(name, exact(path))
    if name in ("claim", "decision"):
        again = claim_json(found) if isinstance(found, Claim) else decision_json(found)
        assert schema_problems(f"{name}-1", again) == []
        assert read(name, again) == found


BY_THE_SCHEMA_ALONE = {
    # the domain takes the fields it knows and passes others over; here they are a typing error or a claim to authority
    "computed_field",
    "state_from_outside",
    # the domain reads these as their plain form
    "no_record",
    "no_aliases_in_the_list",
    "alias_twice",
    "blanks_in_a_row",
    # about subjects, which a frame's record does not hold
    "subject_of_another_pair",
    "end_left_out",
    "no_decisions_in_the_list",
    "shock_size_at_an_end",
    "mount_in_shock_size",
    "finding_in_the_file",
    "subject_of_a_frame",
    "value_besides",
}
"""Invalid examples that the domain's reader of one record lets pass."""
OTHER_PLACES = {
    "readings_without_feature": "/source/readings_mm/bolt",
    "reason_without_withdrawal": "/frames/0/record",
}
"""Where the domain places a fault between two fields at the other one."""
OF_RECORDS = [p for p in invalid() if p.values[0] not in ("dataset", "release")]


@pytest.mark.parametrize(
    ("name", "path", "pointer"), [p for p in OF_RECORDS if p.values[1].stem not in BY_THE_SCHEMA_ALONE]
)
def test_the_domain_refuses_each_invalid_example(name: str, path: Path, pointer: str) -> None:
    with pytest.raises(InvalidInput) as refused:
        read(name, exact(path))
    told = {p.pointer for p in refused.value.problems}
    wanted = OTHER_PLACES.get(path.stem, pointer)
    assert any(wanted.startswith(t) or t.startswith(wanted) for t in told), told


@pytest.mark.parametrize(
    ("name", "path", "pointer"), [p for p in OF_RECORDS if p.values[1].stem in BY_THE_SCHEMA_ALONE]
)
def test_an_exception_that_is_no_longer_needed_fails(name: str, path: Path, pointer: str) -> None:
    read(name, exact(path))


def test_every_schema_says_its_version_and_the_major_one_is_in_its_name() -> None:
    for name, schema in schemas().items():
        assert re.fullmatch(r"(0|[1-9]\d*)(\.(0|[1-9]\d*)){2}", schema["version"])
        assert name.endswith(f"-{schema['version'].partition('.')[0]}")
        assert schema["$id"] == f"https://boltspan.example/schema/{name}.json"
    assert set(versions()) >= {"dataset", "make", "frame", "claim", "decision", "release"}
