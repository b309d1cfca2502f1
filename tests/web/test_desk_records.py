"""Records at the desk: years, names, ends and what tells them apart; shocks beside frames."""

from __future__ import annotations

import re
from typing import Any

import pytest

from boltspan.domain.frames import Years
from boltspan.domain.shocks import Shock, ShockModel
from boltspan.services.protocols import StoredShock
from tests.http.world import EARLY, F1, F2, Site, page_claim
from tests.web.test_desk_pages import at_desk, fill
from tests.web.test_submit_pages import text_of
from tests.web.visit import Visit, forms_of

S1, S2 = "s-0000000001", "s-0000000002"


def at_record(site: Site, record: str = F1, subject: str = "upper") -> tuple[Visit, str]:
    """Return a maintainer at the page of a record, and its path."""
    visit = at_desk(site)
    visit.send("/desk/open", {"record": record, "subject": subject, "why": "to look at its record"})
    visit.open(f"{visit.shown.request.path}/record")
    return visit, visit.shown.request.path


def edit(visit: Visit, path: str, which: str, **typed: str) -> None:
    """Fill in the form of an edit and look at what it does."""
    fill(visit, f"{path}/check", "edit", which, {"why": "the maker says so"} | typed)


def place_shocks(site: Site) -> None:
    """Store two years of one model of shock."""
    with site.storage.writing() as uow:
        uow.shocks.put_model(ShockModel("tarnvale", "brindle", "Brindle"))
        uow.shocks.put_shock(StoredShock(Shock(S1, "tarnvale", "brindle", "shock", Years(2021, 2023))))
        uow.shocks.put_shock(StoredShock(Shock(S2, "tarnvale", "brindle", "shock", Years(2024))))


def say(site: Site, subject: str, value: dict[str, Any], who: str = "ann", document: str = "example.org/s") -> str:
    """Say something of the first shock; return the claim's id."""
    source = {"kind": "spec_page", "document": document, "seen_on": "2026-05-01"}
    body = {k: v for k, v in page_claim(subject=subject, value=value, source=source).items() if k != "frame"}
    answer = site.post("/v1/claims", body | {"shock": S1}, who=who)
    assert answer.status_code == 201, answer.text
    return str(answer.json["claim"]["id"])


def shock_answer(site: Site, subject: str) -> dict[str, Any]:
    """Return what is answered of a subject of the first shock."""
    told = site.get(f"/v1/shocks/{S1}").json
    found: dict[str, Any] = told[subject] if subject in told else told["ends"][subject]
    return found


def test_years_begin_as_they_stand_and_are_looked_at_first(site: Site) -> None:
    visit, path = at_record(site)
    form = next(f for f in forms_of(visit.shown.text) if f.fields.get("edit") == "years")
    assert (form.fields["year_from"], form.fields["year_to"]) == ("2021", "2023")
    edit(visit, path, "years", year_to="2025")
    assert visit.shown.status_code == 422  # another frame of this model begins in 2024
    assert 'id="years-year_from-wrong"' in visit.shown.text
    edit(visit, path, "years", year_to="20 22")
    assert 'id="years-year_to-wrong"' in visit.shown.text
    edit(visit, path, "years", year_to="2022")
    assert "2021 to 2022" in text_of(visit)
    assert site.get(f"/v1/frames/{F1}").json["years"] == {"from": 2021, "to": 2023}
    visit.send(path)
    assert "Carried out." in text_of(visit)
    assert site.get(f"/v1/frames/{F1}").json["years"] == {"from": 2021, "to": 2022}


def test_a_model_is_renamed_and_found_by_its_other_names(site: Site) -> None:
    visit, path = at_record(site)
    edit(visit, path, "names", name="Skerry\u202eII")
    assert 'id="names-name-wrong"' in visit.shown.text
    edit(visit, path, "names", name="Skerry Two", aliases="Skerry 150\nSkerry LT, Skerry 150")
    shown = text_of(visit)
    assert "also called Skerry 150, Skerry LT" in shown
    assert "All years of the model are called so" in shown
    visit.send(path)
    assert site.get(f"/v1/frames/{F2}").json["model"]["name"] == "Skerry Two"
    visit.open("/?q=skerry+lt+2021")
    assert "Tarnvale Skerry Two" in text_of(visit)


def test_what_tells_a_frame_apart_is_changed(site: Site) -> None:
    visit, path = at_record(site, EARLY)
    form = next(f for f in forms_of(visit.shown.text) if f.fields.get("edit") == "qualifier")
    assert form.fields["qualifier_from"] == "TV16"
    edit(visit, path, "qualifier", qualifier_ask="")
    assert 'id="qualifier-qualifier_ask-wrong"' in visit.shown.text
    edit(visit, path, "qualifier", qualifier_to="TV16999", qualifier_ask="Is the serial number TV16 something?")
    assert "serial from TV16 up to TV16999" in text_of(visit)
    visit.send(path)
    assert site.get(f"/v1/frames/{EARLY}").json["qualifier"]["to"] == "TV16999"


def test_other_names_of_the_ends_need_a_source(site: Site) -> None:
    visit, path = at_record(site)
    edit(visit, path, "same_ends", means="front=upper rear=lower")
    assert visit.shown.status_code == 422
    assert 'id="same_ends-source_kind-wrong"' in visit.shown.text
    source = {"source_kind": "manual", "document": "invented manual 4", "seen_on": "2026-05-01"}
    edit(visit, path, "same_ends", **source)
    assert "front is the upper, rear is the lower" in text_of(visit)
    visit.send(path)
    claim = page_claim(subject="front", document="example.org/front")
    assert site.post("/v1/claims", claim, who="ann").json["subject"] == "upper"


def test_an_edit_of_what_has_changed_since_is_refused_and_loses_nothing(site: Site) -> None:
    visit, path = at_record(site)
    edit(visit, path, "names", name="Skerry Two")
    site.claim()
    visit.send(path)
    assert visit.shown.status_code == 412
    form = next(f for f in forms_of(visit.shown.text) if f.fields.get("edit") == "names")
    assert form.fields["name"] == "Skerry Two"


def test_a_shocks_case_stands_in_the_queue_and_is_settled_by_page(site: Site) -> None:
    place_shocks(site)
    say(site, "body", {"mount": "eyelet", "eyelet_bore_mm": 15})
    say(site, "body", {"mount": "eyelet", "eyelet_bore_mm": 12.7}, "ben", "example.org/t")
    visit = at_desk(site)
    assert "Tarnvale Brindle 2021 to 2023: body end shock" in text_of(visit)
    path = re.search(r'<a href="(/desk/q-[0-9a-z]{10})">Tarnvale Brindle', visit.shown.text)
    assert path is not None
    visit.open(path[1])
    shown = text_of(visit)
    assert "Eyelet: eyelet bore 12.7 mm." in shown
    assert "2024 on:" in shown  # the other years of the model
    fill(visit, f"{path[1]}/check", "ruling", "settle", {"value": "other", "mount": "eyelet", "why": "both were asked"})
    assert visit.shown.status_code == 422  # an eyelet needs its bore
    fill(visit, f"{path[1]}/check", "ruling", "settle", {"eyelet_bore": "wide"})
    assert 'id="settle-eyelet_bore-wrong"' in visit.shown.text
    fill(visit, f"{path[1]}/check", "ruling", "settle", {"eyelet_bore": "15"})
    assert "Nothing has been changed yet." in text_of(visit)
    visit.send(f"{path[1]}/rulings")
    assert "Carried out: settled." in text_of(visit)
    assert shock_answer(site, "body")["value"]["eyelet_bore_mm"] == 15


@pytest.mark.parametrize(
    ("typed", "wrong"),
    [("210 by 55", True), ("210 x", True), ("210x50, 210 x 55", False), ("210 x 50\n210 x 55", False)],
)
def test_the_sizes_of_a_shock_are_typed_as_people_write_them(site: Site, typed: str, *, wrong: bool) -> None:
    place_shocks(site)
    say(site, "sizes", {"sizes": [{"eye_to_eye_mm": 210, "stroke_mm": 50}]})
    visit, path = at_record(site, S1, "sizes")
    path = path.removesuffix("/record")
    visit.open(path)
    fill(visit, f"{path}/check", "ruling", "settle", {"value": "other", "sizes": typed, "only": "yes", "why": "so"})
    if wrong:
        assert 'id="settle-sizes-wrong"' in visit.shown.text
        return
    assert "Made only as 210 x 50 mm, 210 x 55 mm." in text_of(visit)
    visit.send(f"{path}/rulings")
    assert shock_answer(site, "sizes")["value"]["label"] == "210 x 50, 210 x 55"


def test_a_shocks_record_is_edited_and_a_double_merged(site: Site) -> None:
    place_shocks(site)
    visit, path = at_record(site, S1, "body")
    edit(visit, path, "names", name="Brindle RS")
    visit.send(path)
    assert site.get(f"/v1/shocks/{S2}").json["model"]["name"] == "Brindle RS"
    visit, path = at_record(site, S1, "body")
    edit(visit, path, "merge", into=S2)
    assert f"Who asks for it is led to {S2}." in text_of(visit)
    visit.send(path)
    assert site.get(f"/v1/shocks/{S1}").status_code == 308
    edit(visit, path, "restore")
    visit.send(path)
    assert site.get(f"/v1/shocks/{S1}").status_code == 200


def test_a_contributor_is_told_by_page_what_became_of_the_record(site: Site) -> None:
    claim = site.claim("ann", document="example.org/b").json["claim"]["id"]
    new = {"make": {"name": "Tarnvale"}, "model": {"name": "Holm"}, "years": {"from": 2025}, "ends": ["upper", "lower"]}
    site.post("/v1/frames", new, who="ann")
    ann = at_desk(site, "ann", "/claims")
    assert "Tarnvale Holm from 2025 waits for review" in text_of(ann).replace("2025 on", "from 2025")
    visit, path = at_record(site)
    edit(visit, path, "withdraw", why="no such frame was made")
    visit.send(path)
    for page in (f"/claims/{claim}", "/claims"):
        ann.open(page)
        assert "closed without a ruling" in text_of(ann)
        assert "Reason: no such frame was made" in text_of(ann)
        assert "waits since" not in text_of(ann)


def test_an_id_that_is_none_is_told_at_its_field(site: Site) -> None:
    visit = at_desk(site)
    for record in ("s-0000000009", "skerry"):
        visit.send("/desk/open", {"record": record, "subject": "body", "why": "so"})
        assert 'id="record-wrong"' in visit.shown.text
