"""A shop's chart on both databases: what becomes of each row, and that nothing is guessed, doubled or half written."""

from __future__ import annotations

import csv
from collections import Counter, defaultdict
from dataclasses import replace
from decimal import Decimal

import pytest

from boltspan.domain.charts.headings import ChartMapping, mapping_from
from boltspan.domain.charts.rows import ChartRow
from boltspan.domain.claims import Claim
from boltspan.domain.errors import InvalidInput, NotAllowed, NotAuthenticated
from boltspan.domain.frames import Years
from boltspan.domain.labels import REASONS as LABEL_REASONS
from boltspan.domain.values import EndValue
from boltspan.domain.vocabulary import VOCABULARY
from boltspan.services import lookup
from boltspan.services.charts import Chart, ChartReport, Outcome, import_chart
from boltspan.services.permissions import ANYBODY, COMMAND_LINE, ROLES, Actor
from boltspan.services.protocols import Storage, StoredFrame
from tests.charts.catalogue import EXPECTED, MESSY, plant_catalogue
from tests.services.conftest import StandingClock

PERSON = "p-000000000a"
SKERRY, GANNOCH, KITTERWAKE = "f-7k3m9q2dxw", "f-vhwpraebv3", "f-hs20s0jmcm"
HEAD = "make,model,year,upper,lower\n"


@pytest.fixture
def world(storage: Storage) -> Storage:
    """A storage with the frames that the messy chart speaks of."""
    with storage.writing() as uow:
        plant_catalogue(uow)
    return storage


def bring(
    storage: Storage,
    raw: bytes | str,
    *,
    document: str = "wall chart",
    mapping: ChartMapping | None = None,
    preview: bool = False,
    propose: bool = False,
    actor: Actor = COMMAND_LINE,
) -> tuple[ChartReport, list[Outcome]]:
    data = raw.encode() if isinstance(raw, str) else raw
    told: list[Outcome] = []

    def tell(row: ChartRow, outcome: Outcome) -> None:
        assert row.number == outcome.row
        told.append(outcome)

    chart = Chart(lambda: iter([data[:7], data[7:]]), document, PERSON, mapping or ChartMapping(), propose)
    with storage.reading() if preview else storage.writing() as uow:
        report = import_chart(actor, uow, StandingClock(), chart, tell, preview=preview)
    return report, told


def claims(storage: Storage, frame: str) -> list[Claim]:
    with storage.reading() as uow:
        return uow.statements.claims(frame)


def events(storage: Storage) -> int:
    with storage.reading() as uow:
        return uow.events.last()


def what(outcome: Outcome) -> str:
    """Return the outcome in the words of messy_expected.csv."""
    if outcome.outcome in ("added", "said_already"):
        return f"{outcome.frame} {outcome.subject} {outcome.label}"
    return f"{outcome.code} {outcome.frame}" if outcome.code == "which_end" else outcome.code


def expected() -> dict[int, Counter[tuple[str, str]]]:
    found: dict[int, Counter[tuple[str, str]]] = defaultdict(Counter)
    with EXPECTED.open(encoding="utf-8", newline="") as file:
        for line in csv.DictReader(file):
            found[int(line["row"])][line["outcome"], line["what"]] += 1
    return found


def by_row(told: list[Outcome]) -> dict[int, Counter[tuple[str, str]]]:
    found: dict[int, Counter[tuple[str, str]]] = defaultdict(Counter)
    for outcome in told:
        found[outcome.row][outcome.outcome, what(outcome)] += 1
    return found


def test_every_row_of_the_messy_chart_becomes_what_was_said_of_it_beforehand(world: Storage) -> None:
    report, told = bring(world, MESSY.read_bytes())
    found, wanted = by_row(told), expected()
    differing = {row: (found.get(row), wanted.get(row)) for row in found.keys() | wanted.keys()
                 if found.get(row) != wanted.get(row)}  # fmt: skip
    assert not differing
    assert report.written
    assert report.encoding == "UTF-8 with a byte order mark"
    assert (report.headings.delimiter, report.headings.row) == (";", 3)


def test_a_second_import_adds_nothing(world: Storage) -> None:
    bring(world, MESSY.read_bytes())
    before = events(world)
    report, _ = bring(world, MESSY.read_bytes())
    assert report.counts["said_already"] > 100
    assert "added" not in report.counts
    assert events(world) == before


def test_a_preview_tells_the_same_and_writes_nothing(world: Storage) -> None:
    before = events(world)
    report, told = bring(world, MESSY.read_bytes(), preview=True)
    assert not report.written
    assert events(world) == before
    assert told == bring(world, MESSY.read_bytes())[1]


def test_a_claim_keeps_the_row_as_it_stands_and_says_where(world: Storage) -> None:
    text = 'make;model;year;upper;lower;remarks\nTarnvale;Skerry;2021-22;8 x 22,2;;"a; b"\n'
    report, _ = bring(world, text)
    (claim,) = claims(world, SKERRY)
    assert (claim.subject, claim.state, claim.years) == ("upper", "accepted", Years(2021, 2022))
    assert claim.value == EndValue("hardware", Decimal(8), Decimal("22.2"))
    source = claim.source
    assert (source.kind, source.document, source.by) == ("retailer_chart", "wall chart", PERSON)
    assert source.quote == 'Tarnvale;Skerry;2021-22;8 x 22,2;;"a; b"'
    assert source.page == f"row 2 of the file with sha256 {report.sha256[:12]}"
    assert source.seen_on == "2026-06-01"


def test_the_answer_is_encoded_anew_in_the_same_transaction(world: Storage) -> None:
    bring(world, HEAD + "Tarnvale,Skerry,2021,8x22.2,8x30\n")
    with world.reading() as uow:
        stored = uow.catalogue.frame(SKERRY)
        published = uow.published.get(f"/v1/frames/{SKERRY}")
        answer = lookup.frame(uow, ANYBODY, SKERRY)
    assert stored is not None
    assert published is not None
    assert stored.sequence == published.sequence == events(world)
    assert answer["ends"]["upper"]["basis"]["claims"] == 1


def test_one_row_over_two_frames_is_a_claim_for_each_that_shares_the_document(world: Storage) -> None:
    bring(world, HEAD.replace("upper,lower", "front,rear") + "Quillhope,Sandreel,2019-20,8x20,\n")
    (first,), (second,) = claims(world, "f-fu4m5hyd5e"), claims(world, "f-sx9bvpcdwq")
    assert first.source.witness == second.source.witness
    assert first.years == second.years == Years(2019, 2020)


def test_editions_of_one_named_chart_are_one_voice(world: Storage) -> None:
    bring(world, HEAD + "Tarnvale,Skerry,2021,8x22.2,\n")
    bring(world, HEAD + "Tarnvale,Skerry,2021,8x25.4,\n")
    first, second = claims(world, SKERRY)
    assert first.source.witness == second.source.witness
    assert first.source.page != second.source.page


def test_what_was_withdrawn_is_not_said_again(world: Storage) -> None:
    text = HEAD + "Tarnvale,Skerry,2021,8x22.2,\n"
    bring(world, text)
    (claim,) = claims(world, SKERRY)
    with world.writing() as uow:
        uow.statements.set_state(replace(claim, state="withdrawn", withdrawn_on="2026-06-02", withdrawn_why="misread"))
    report, _ = bring(world, text)
    assert report.counts == {"said_already": 1}


def test_a_running_change_told_by_years_is_no_contradiction(world: Storage) -> None:
    report, _ = bring(world, HEAD + "Tarnvale,Skerry,2021,8x22.2,\nTarnvale,Skerry,2022-23,8x25.4,\n")
    assert report.counts == {"added": 2}


def test_both_sides_of_a_contradiction_are_held_whatever_their_order(world: Storage) -> None:
    rows = ["Tarnvale,Skerry,2021-22,8x22.2,\n", "Tarnvale,Skerry,2022-23,8x25.4,\n"]
    for order in (rows, rows[::-1]):
        report, told = bring(world, HEAD + "".join(order))
        assert report.counts == {"held": 2}
        assert "row 3" in told[0].detail
        assert "row 2" in told[1].detail


def test_a_chart_against_what_is_known_opens_a_case(world: Storage) -> None:
    for document, width in (("one chart", "22.2"), ("another chart", "30")):
        bring(world, HEAD + f"Tarnvale,Skerry,2021,8x{width},8x35\n", document=document)
    with world.reading() as uow:
        upper, lower = (uow.cases.of_subject(SKERRY, end) for end in ("upper", "lower"))
    assert upper is not None
    assert upper.reasons == ("disputed",)
    assert lower is None


def test_near_names_are_offered_and_not_taken(world: Storage) -> None:
    _, told = bring(world, HEAD + "Tarnvale,Skery,2021,8x22.2,\nTarnvael,Skerry,2021,8x22.2,\n")
    assert [(o.outcome, o.code) for o in told] == [("unknown", "unknown_model"), ("unknown", "unknown_make")]
    assert all("Tarnvale Skerry" in o.detail for o in told)
    assert not claims(world, SKERRY)


def test_a_frame_told_apart_by_a_qualifier_is_held_with_its_question(world: Storage) -> None:
    _, (held,) = bring(world, "make,model,year,shaft,body\nFennard,Kitterwake,2022,8x30,\n")
    assert held.detail == "Which size is printed on the seat tube: S, or M and larger?"


def test_all_years_in_so_many_words_are_a_claim_without_years(world: Storage) -> None:
    _, told = bring(world, HEAD + "Tarnvale,Wrackline,all years,8x38,\n")
    assert [o.frame for o in told] == ["f-gmgcyyj3jd", "f-ez83tbaffe"]
    assert [c.years for c in claims(world, "f-ez83tbaffe")] == [None]


def test_years_that_do_not_touch_are_a_claim_each(world: Storage) -> None:
    bring(world, HEAD + 'Tarnvale,Skerry,"2021, 2023",8x22.2,\n')
    assert [c.years for c in claims(world, SKERRY)] == [Years(2021, 2021), Years(2023, 2023)]


def test_a_long_chart_with_an_end_column_and_separate_numbers(world: Storage) -> None:
    rows = ("Brand Model Year End Bolt Width", "Tarnvale Skerry 2021 Top M8 22.2", "Tarnvale Skerry 2021 - M8 30")
    _, told = bring(world, "\n".join(rows).replace(" ", "\t"))
    assert [(o.outcome, o.subject, o.label) for o in told] == [("added", "upper", "M8 x 22.2"), ("held", "", "")]


def test_a_mapping_names_columns_words_and_what_is_as_above(world: Storage) -> None:
    text = "Rad,Hinten oben,Unten,Jahr\nTarnvale Skerry,brz 8x22.2,8x30,2021\n,,8x30,2022\nTarnvale Gannoch,8x30,,\n"
    columns = {"Rad": "make_model", "Hinten oben": "upper", "Unten": "lower", "Jahr": "year"}
    mapping = mapping_from({"columns": columns, "words": {"brz": "bearing"}, "as_above": ["make_model", "year"]})
    _, told = bring(world, text, mapping=mapping)
    assert [(o.row, o.outcome, o.label or o.code) for o in told] == [
        (2, "added", "bearing M8 x 22.2"), (2, "added", "M8 x 30"), (3, "added", "M8 x 30"), (4, "held", "which_years"),
    ]  # fmt: skip


def test_nothing_is_written_when_the_telling_fails(world: Storage) -> None:
    """As when the file of what is refused cannot be written: all rows go in or none."""
    before = events(world)

    def tell(row: ChartRow, outcome: Outcome) -> None:
        if outcome.row == 3:
            raise OSError("no room")

    text = (HEAD + "Tarnvale,Skerry,2021,8x22.2,\nTarnvale,Skerry,2022,8x22.2,\n").encode()
    with pytest.raises(OSError, match="no room"), world.writing() as uow:
        import_chart(COMMAND_LINE, uow, StandingClock(), Chart(lambda: [text], "chart", PERSON), tell)
    assert events(world) == before
    assert not claims(world, SKERRY)


@pytest.mark.parametrize(("actor", "error"), [
    (ANYBODY, NotAuthenticated), (Actor(PERSON, ROLES["contributor"]), NotAllowed),
    (Actor(PERSON, ROLES["retailer"]), NotAllowed),
])  # fmt: skip
def test_only_a_maintainer_brings_a_chart(world: Storage, actor: Actor, error: type[Exception]) -> None:
    with pytest.raises(error):
        bring(world, HEAD, actor=actor)
    bring(world, HEAD, actor=Actor(PERSON, ROLES["maintainer"]))


@pytest.mark.parametrize("document", ["", " ", "x" * 501])
def test_a_document_needs_a_name(world: Storage, document: str) -> None:
    with pytest.raises(InvalidInput, match="a document has a name"):
        bring(world, HEAD, document=document)


def test_hostile_cells_are_told_or_kept_as_text(world: Storage) -> None:
    rows = [
        "Tarnvale,Skerry,2021,=1+1,",
        "\x00,Skerry,2021,8x22.2,",
        "Tarnvale,Skerry,2021,8x22.2\x07,",
        "," * 199 + "x",
    ]
    report, told = bring(world, HEAD + "\n".join(rows))
    assert {o.outcome for o in told} == {"refused"}
    assert Counter(o.code for o in told)["hidden_character"] == 2
    assert report.counts == {"refused": 4}


NEW = "make;model;year;upper;lower\nTarnvale;Hollowmere;2021-22;8x22,2;8x30\nTarnvale;Hollowmere;2023;8x22,2;8x30\n"


def proposed(storage: Storage) -> list[StoredFrame]:
    with storage.reading() as uow:
        return [s for s in uow.catalogue.every_frame() if not s.listed]


def test_unknown_makes_and_models_become_proposals_and_a_second_import_adds_nothing(world: Storage) -> None:
    text = NEW + "Ebbcombe;Skerry;2020+;M6x25,4;trunnion\n"
    report, _ = bring(world, text, propose=True)
    assert report.counts == {"proposed": 6}
    hollowmere, ebbcombe = sorted(proposed(world), key=lambda s: s.frame.model)
    assert (hollowmere.frame.make, hollowmere.frame.model) == ("tarnvale", "hollowmere")
    assert (hollowmere.frame.years, hollowmere.frame.ends) == (Years(2021, 2023), ("upper", "lower"))
    assert (ebbcombe.frame.make, ebbcombe.frame.years) == ("ebbcombe", Years(2020))
    assert hollowmere.proposed_by == PERSON
    assert [c.years for c in claims(world, hollowmere.frame.id) if c.subject == "upper"] == [
        Years(2021, 2022), Years(2023, 2023)
    ]  # fmt: skip
    with world.reading() as uow:
        case = uow.cases.of_subject(hollowmere.frame.id, "record")
        assert case is not None
        assert case.reasons == ("proposal",)
        published = uow.published.get(f"/v1/frames/{hollowmere.frame.id}")
        assert published is None or published.body is None
        make = uow.catalogue.make("ebbcombe")
    assert make is not None
    assert make.name == "Ebbcombe"
    before = events(world)
    again, _ = bring(world, text, propose=True)
    assert again.counts == {"said_already": 6}
    assert events(world) == before
    assert bring(world, text)[0].counts == {"unknown": 3}


def test_a_preview_of_proposals_writes_nothing_and_names_no_frame(world: Storage) -> None:
    before = events(world)
    report, told = bring(world, NEW, propose=True, preview=True)
    assert report.counts == {"proposed": 4}
    assert {o.frame for o in told} == {""}
    assert events(world) == before
    assert not proposed(world)


def test_years_apart_or_of_other_sizes_are_proposed_as_frames_of_their_own(world: Storage) -> None:
    sizes = (("2015-17", "8x30"), ("2018", "8x25.4"), ("2021", "8x25.4"))
    bring(world, HEAD + "".join(f"Tarnvale,Hollowmere,{years},{size},\n" for years, size in sizes), propose=True)
    assert {s.frame.years for s in proposed(world)} == {Years(2015, 2017), Years(2018, 2018), Years(2021, 2021)}


@pytest.mark.parametrize(("row", "outcome", "code"), [
    ("Tarnvale,Skery,2021,8x22.2,", "unknown", "near_known"),
    ("Tarnvael,Skerry,2021,8x22.2,", "unknown", "near_known"),
    ("Tarnvale,Hollowmere,,8x22.2,", "held", "which_years"),
    ("Tarnvale,Hollowmere,all years,8x22.2,", "held", "which_years"),
    ("Tarnvale,\u0421k\u0435llowmere,2021,8x22.2,", "held", "name_unfit"),
    ("Tarnvale,Hollowmere,2021,8 x 15,", "refused", "width_or_bore_unclear"),
    ("Tarnvale,Skerry,1990,8x22.2,", "unknown", "no_frame_in_years"),
])  # fmt: skip
def test_what_is_not_sure_is_not_proposed(world: Storage, row: str, outcome: str, code: str) -> None:
    _, told = bring(world, HEAD + row + "\n", propose=True)
    assert [(o.outcome, o.code) for o in told] == [(outcome, code)]
    assert not proposed(world)


def test_ends_without_names_or_of_two_pairs_are_asked_for(world: Storage) -> None:
    _, (both,) = bring(world, "make,model,year,size\nTarnvale,Hollowmere,2021,8x30 both ends\n", propose=True)
    text = "make,model,year,upper,front\nTarnvale,Ammerfell,2021,8x30,\nTarnvale,Ammerfell,2021,,8x30\n"
    _, mixed = bring(world, text, propose=True)
    assert {(o.outcome, o.code) for o in (both, *mixed)} == {("held", "which_ends")}
    assert not proposed(world)


def test_what_a_maintainer_turned_down_is_not_proposed_again(world: Storage) -> None:
    bring(world, NEW, propose=True)
    (stored,) = proposed(world)
    gone = replace(stored.frame, record="withdrawn", withdrawn_on="2026-06-02", why="no such model")
    with world.writing() as uow:
        uow.catalogue.put_frame(replace(stored, frame=gone))
    _, told = bring(world, NEW, propose=True)
    assert [o.code for o in told] == ["turned_down", "turned_down"]
    assert "no such model" in told[0].detail


def test_every_code_of_a_chart_has_its_text(world: Storage) -> None:
    _, told = bring(world, MESSY.read_bytes(), propose=True)
    known = VOCABULARY["chart_reasons"].keys() | LABEL_REASONS.keys()
    assert {o.code for o in told if o.code} <= known
    assert {o.outcome for o in told} <= VOCABULARY["chart_outcomes"].keys()
