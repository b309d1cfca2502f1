"""Every rule: the sound files pass it, and one example breaks it in just the place it names."""

from __future__ import annotations

import copy
import importlib
import pkgutil
from collections.abc import Callable
from typing import Any

import pytest

from boltspan.dataset import checks, reading
from boltspan.dataset.checks import DOCUMENT_RULES, RECORD_RULES, RULES, check
from boltspan.dataset.documents import document
from boltspan.dataset.layout import HEADER
from tests.dataset.sample import FRAMES, MAKE, bent, documents, files, settled, upper

CLAIM = "/frames/1/subjects/upper/claims/0"
DECISION = "/frames/1/subjects/upper/decisions/0"
Bend = Callable[[dict[str, Any]], None]


def put(where: Callable[[dict[str, Any]], Any], key: Any, value: Any) -> Bend:
    def bend(content: dict[str, Any]) -> None:
        where(content)[key] = value

    return bend


def value(content: dict[str, Any]) -> Any:
    return upper(content)["claims"][0]["value"]


def decision(content: dict[str, Any]) -> Any:
    return upper(content)["decisions"][0]


def source(content: dict[str, Any]) -> Any:
    return upper(content)["claims"][0]["source"]


def move(old: str, new: str) -> Bend:
    def bend(content: dict[str, Any]) -> None:
        content[new] = content.pop(old)

    return bend


def remove(path: str) -> Bend:
    def bend(content: dict[str, Any]) -> None:
        del content[path]

    return bend


def rename_end(content: dict[str, Any]) -> None:
    subjects = settled(content)["subjects"]
    subjects["front"] = subjects["lower"]


def copied_claim(content: dict[str, Any]) -> None:
    claim = copy.deepcopy(upper(content)["claims"][0])
    settled(content)["subjects"]["lower"]["claims"] = [claim]


def reverse(reverses: str) -> Bend:
    def bend(content: dict[str, Any]) -> None:
        earlier = decision(content)
        upper(content)["decisions"].append(
            {"id": "d-0000000002", "on": earlier["on"], "by": earlier["by"], "ruling": "reverse",
             "reverses": reverses, "why": "for a test"}
        )  # fmt: skip

    return bend


def merge(*into: str) -> Bend:
    """Merge both frames, the earlier one first, into the frames named."""

    def bend(content: dict[str, Any]) -> None:
        for frame, target in zip(content[FRAMES]["frames"], into, strict=True):
            frame |= {"record": "merged", "into": target}

    return bend


def divide(content: dict[str, Any]) -> None:
    earlier, later = content[FRAMES]["frames"]
    third = copy.deepcopy(earlier)
    third |= {"id": "f-0000000003", "years": {"from": 2010, "to": 2012}, "qualifier": SERIAL}
    earlier |= {"record": "divided", "into": [third["id"], later["id"]]}
    content[FRAMES]["frames"] = [third, earlier, later]


SERIAL = {"kind": "serial", "from": "T5000", "ask": "What does the serial number say?"}


def chart_twice(content: dict[str, Any]) -> None:
    claims = settled(content)["subjects"]["lower"]["claims"]
    for number in (7, 8):
        claims.append(copy.deepcopy(upper(content)["claims"][0]) | {"id": f"c-000000000{number}"})


def outside(content: dict[str, Any]) -> None:
    upper(content)["claims"][0]["years"] = {"from": 2010, "to": 2012}


BROKEN: list[tuple[str, str, Bend, str, str]] = [
    ("path", "another make's folder", move(FRAMES, "frames/quillhope/skerry.json"),
     "frames/quillhope/skerry.json", "/make"),
    ("path", "another model's file", move(FRAMES, "frames/tarnvale/skery.json"),
     "frames/tarnvale/skery.json", "/model/slug"),
    ("path", "another make's file", move(MAKE, "makes/tarnval.json"), "makes/tarnval.json", "/slug"),
    ("path", "a folder too deep", move(FRAMES, "frames/tarnvale/old/skerry.json"),
     "frames/tarnvale/old/skerry.json", ""),
    ("name", "a blank before", put(lambda c: c[MAKE], "name", " Tarnvale"), MAKE, "/name"),
    ("name", "two scripts", put(lambda c: c[FRAMES]["model"], "aliases", ["Skеrry"]),
     FRAMES, "/model/aliases/0"),  # the first e is Cyrillic
    ("ends", "a mixed pair", put(settled, "ends", ["upper", "rear"]), FRAMES, "/frames/1/ends"),
    ("subject", "an end of another pair", rename_end, FRAMES, "/frames/1/subjects/front"),
    ("person", "a source by name", put(source, "by", "the mechanic"), FRAMES, f"{CLAIM}/source/by"),
    ("person", "a decision by name", put(decision, "by", "the boss"), FRAMES, f"{DECISION}/by"),
    ("schema", "a misspelt field", put(value, "widht_mm", 22), FRAMES, f"{CLAIM}/value/widht_mm"),
    ("schema", "a mount that is none", put(value, "mount", "hardwear"), FRAMES, f"{CLAIM}/value/mount"),
    ("schema", "a missing field", lambda c: decision(c).pop("why"), FRAMES, f"{DECISION}/why"),
    ("record", "years turned round", put(settled, "years", {"from": 2023, "to": 2021}), FRAMES, "/frames/1/years/to"),
    ("record", "seven decimal places", lambda c: c.update(seventh_place(c)), FRAMES, f"{CLAIM}/value/width_mm"),
    ("claim_years", "a claim about other years", outside, FRAMES, f"{CLAIM}/years"),
    ("dataset_file", "no dataset.json", remove(HEADER), HEADER, ""),
    ("make", "a make without a file", remove(MAKE), FRAMES, "/make"),
    ("id_twice", "a copied claim", copied_claim, FRAMES, "/frames/1/subjects/lower/claims/0/id"),
    ("name_twice", "an alias like the name", put(lambda c: c[MAKE], "aliases", ["TARNVALE"]), MAKE, "/aliases/0"),
    ("years_overlap", "two frames in 2021", lambda c: c[FRAMES]["frames"][0]["years"].update({"to": 2021}),
     FRAMES, "/frames/1/years"),
    ("decision_grounds", "a claim nobody made", put(decision, "rests_on", ["c-0000000001", "c-0000000009"]),
     FRAMES, f"{DECISION}/rests_on/1"),
    ("reversal", "a decision nobody made", reverse("d-0000000009"),
     FRAMES, "/frames/1/subjects/upper/decisions/1/reverses"),
    ("successor", "merged into nothing", merge("f-0000000009", "f-0000000009"), FRAMES, "/frames/0/into"),
    ("part", "a part without a qualifier", divide, FRAMES, "/frames/2/qualifier"),
    ("claim_twice", "one chart, two people", chart_twice, FRAMES, "/frames/1/subjects/lower/claims/1"),
    ("demo", "a real address in an invented dataset", put(source, "url", "https://shop.example.shop/a"),
     FRAMES, f"{CLAIM}/source/url"),
]  # fmt: skip


def seventh_place(content: dict[str, Any]) -> dict[str, Any]:
    from decimal import Decimal

    value(content)["width_mm"] = Decimal("22.2000001")
    return content


def test_the_sound_files_break_no_rule() -> None:
    assert check(documents(files())).problems == ()


@pytest.mark.parametrize(("code", "path", "pointer", "bend"), [
    pytest.param(code, path, pointer, bend, id=f"{code}-{name}") for code, name, bend, path, pointer in BROKEN
])  # fmt: skip
def test_a_broken_rule_is_told_where_it_is_broken(code: str, path: str, pointer: str, bend: Bend) -> None:
    problems = bent(bend).problems
    assert (code, path, pointer) in {(p.code, p.path, p.pointer) for p in problems}


@pytest.mark.parametrize(("code", "bend"), [
    pytest.param(code, bend, id=f"{code}-{name}") for code, name, bend, *_ in BROKEN
])  # fmt: skip
def test_no_place_is_told_about_twice(code: str, bend: Bend) -> None:
    places = [(p.path, p.pointer) for p in bent(bend).problems]
    assert len(places) == len(set(places))


def test_every_rule_has_a_code_of_its_own_a_name_a_reason_and_an_example_that_breaks_it() -> None:
    modules = {
        m.name: importlib.import_module(f"{checks.__name__}.{m.name}") for m in pkgutil.iter_modules(checks.__path__)
    }
    rules = (*DOCUMENT_RULES, *RECORD_RULES)
    assert {id(r) for r in rules} == {id(m) for m in modules.values()}
    assert len(RULES) == len(rules) + 1
    for rule in rules:
        assert rule.NAME
        assert len((rule.__doc__ or "").split("\n\n")) > 1, f"{rule.CODE}: the docstring says what, and then why"
    tested_by_text = {"json", "format", "sold_with"}  # these have tests of their own, the last in test_shock_files.py
    assert {code for code, *_ in BROKEN} | tested_by_text == set(RULES)
    assert reading.CODE in RULES


def test_a_file_that_is_no_strict_json_is_told_about_once() -> None:
    good = documents(files())
    raw = next(d.raw for d in good if d.path == FRAMES)
    doubled = raw.replace(b'"record": "frame",', b'"record": "frame",\n      "record": "merged",', 1)
    cut = raw[: len(raw) // 2]
    for broken in (doubled, cut, b"\xef\xbb\xbf" + raw, raw.replace(b"2021", b"NaN", 1), b"", b"\xff"):
        rest = [d for d in good if d.path != FRAMES]
        problems = check([*rest, document(FRAMES, broken)]).problems
        assert [(p.code, p.path) for p in problems] == [("json", FRAMES)]


def test_another_layout_is_told_with_its_line_and_the_command_that_mends_it() -> None:
    good = documents(files())
    raw = next(d.raw for d in good if d.path == MAKE)
    found = []
    for other in (raw + b"\n", raw.rstrip(b"\n"), raw.replace(b"  ", b"\t"), raw.replace(b'"slug"', b' "slug"')):
        (problem,) = check([*(d for d in good if d.path != MAKE), document(MAKE, other)]).problems
        found.append((problem.code, problem.fix, problem.detail.split()[1]))
    assert found == [("format", "boltspan dataset format DIR", line) for line in ("7", "6", "2", "3")]


def test_a_length_with_zeros_behind_is_a_matter_of_layout() -> None:
    raw = next(d.raw for d in documents(files()) if d.path == FRAMES)
    assert raw.count(b"22.2,") + raw.count(b"22.2}") > 0
    other = [d for d in documents(files()) if d.path != FRAMES] + [document(FRAMES, raw.replace(b"22.2}", b"22.20}"))]
    assert {p.code for p in check(other).problems} == {"format"}


def test_a_claim_whose_years_its_frame_has_lost_is_found_among_records_too() -> None:
    """As after a merge: the frame's years were narrowed on one side, the claim came from the other."""
    from dataclasses import replace

    from boltspan.dataset.checks import check_records
    from boltspan.dataset.placed import records_of
    from boltspan.domain.frames import Years
    from tests.dataset.sample import dataset, entry

    whole = entry()
    claim = replace(whole.claims[0], years=Years(2021, 2021))
    narrowed = replace(whole, frame=replace(whole.frame, years=Years(2022, 2023)), claims=(claim, whole.claims[1]))
    (problem,) = check_records(records_of(dataset(narrowed)))
    assert problem.warning
    assert (problem.code, problem.pointer) == ("claim_years", "/frames/0/subjects/upper/claims/0/years")


def test_everything_wrong_is_told_at_once() -> None:
    def bend(content: dict[str, Any]) -> None:
        content[MAKE]["name"] = "=Tarnvale"
        value(content)["mount"] = "hardwear"
        decision(content)["rests_on"] = ["c-0000000009"]
        settled(content)["years"] = {"from": 2021, "to": 1990}
        content[FRAMES]["frames"][0]["id"] = "f-l"

    found = {(p.path, p.pointer) for p in bent(bend).problems}
    assert found >= {
        (MAKE, "/name"),
        (FRAMES, f"{CLAIM}/value/mount"),
        (FRAMES, "/frames/1/years/to"),
        (FRAMES, "/frames/0/id"),
    }


def test_a_ruling_on_a_claim_that_cannot_be_read_is_no_second_problem() -> None:
    problems = bent(put(value, "mount", "hardwear")).problems
    assert [p.code for p in problems] == ["schema"]


def test_the_nearest_allowed_word_is_told() -> None:
    (field,) = bent(put(value, "widht_mm", 22)).problems
    assert (field.nearest, field.got) == ("width_mm", "22")
    (mount,) = bent(put(value, "mount", "hardwear")).problems
    assert mount.nearest == "hardware"
    grounds = bent(put(decision, "rests_on", ["c-0000000001", "c-0000000003"])).problems
    assert grounds[0].nearest in ("c-0000000001", "c-0000000002")


def test_a_message_says_path_place_fault_got_accepted_nearest_code_and_command() -> None:
    (problem,) = bent(put(source, "by", "the mechanic")).problems
    assert problem.text() == (
        f"{FRAMES}#{CLAIM}/source/by: a person stands here by an opaque id, never by name; got the mechanic; "
        "accepted: p- and ten of 0-9 and a-z without i, l and o [person]\n  fix: boltspan id person"
    )


def test_a_warning_is_no_error() -> None:
    checked = bent(chart_twice)
    assert [p.code for p in checked.problems] == ["claim_twice"]
    assert checked.errors == ()


def test_two_records_that_lead_to_each_other_are_both_told() -> None:
    problems = bent(merge("f-0000000001", "f-0000000002")).problems
    assert [(p.code, p.pointer) for p in problems] == [("successor", "/frames/0/into"), ("successor", "/frames/1/into")]


def test_a_record_merged_into_itself_is_told() -> None:
    problems = bent(merge("f-0000000002", "f-0000000002")).problems
    assert [(p.code, p.pointer) for p in problems] == [("successor", "/frames/0/into")]


def test_a_claim_about_the_other_end_is_no_ground() -> None:
    def bend(content: dict[str, Any]) -> None:
        claims = upper(content)["claims"]
        settled(content)["subjects"]["lower"]["claims"] = [claims.pop(0)]

    (problem,) = bent(bend).problems
    assert problem.code == "decision_grounds"
    assert "another subject" in problem.detail
    assert "lower" in problem.detail


def test_a_reversal_of_a_later_decision_is_told() -> None:
    def bend(content: dict[str, Any]) -> None:
        reverse("d-0000000001")(content)
        upper(content)["decisions"].reverse()

    assert [p.code for p in bent(bend).problems] == ["reversal"]


def test_a_sound_reversal_a_division_and_a_merger_pass() -> None:
    assert bent(reverse("d-0000000001")).problems == ()
    assert bent(merge("f-0000000001", "f-0000000001")).problems[0].pointer == "/frames/1/into"

    def whole(content: dict[str, Any]) -> None:
        divide(content)
        content[FRAMES]["frames"][2]["qualifier"] = SERIAL | {"from": "T9000"}

    assert bent(whole).problems == ()


def test_invented_sources_are_refused_in_a_real_dataset() -> None:
    def real(content: dict[str, Any]) -> None:
        content[HEADER]["demo"] = False

    (problem,) = bent(real).problems
    assert (problem.code, problem.pointer) == ("demo", f"{CLAIM}/source")

    def cited(content: dict[str, Any]) -> None:
        real(content)
        source(content)["document"] = "mail of 2022-03-01"

    assert bent(cited).problems == ()


@pytest.mark.parametrize(
    "host", ["example.org", "www.example.com", "a.example", "shop.test", "x.invalid", "EXAMPLE.net"]
)
def test_addresses_reserved_for_examples_are_known(host: str) -> None:
    """RFC 2606, sections 2 and 3; RFC 6761 keeps them."""
    assert bent(put(source, "url", f"https://{host}/a")).problems == ()


@pytest.mark.parametrize("host", ["example.shop", "myexample.org", "example.org.evil.shop", "testing", "192.0.2.1"])
def test_other_addresses_may_be_real(host: str) -> None:
    assert [p.code for p in bent(put(source, "url", f"https://{host}/a")).problems] == ["demo"]


ODD = ("null", "[]", "{}", '"text"', "5", "true", "[null]", '{"frames": 3}', '{"frames": [3, {"subjects": []}]}')


@pytest.mark.parametrize("odd", ODD)
@pytest.mark.parametrize("path", [HEADER, MAKE, FRAMES])
def test_a_file_of_any_shape_is_told_about_and_breaks_no_check(path: str, odd: str) -> None:
    rest = [d for d in documents(files()) if d.path != path]
    problems = check([*rest, document(path, odd.encode())]).problems
    assert any(p.path == path and p.code == "schema" for p in problems)
