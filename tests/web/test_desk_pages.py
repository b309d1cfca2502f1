"""The desk by page: the queue, a case with everything in view, rulings looked at before they are carried out."""

from __future__ import annotations

import re
from typing import Any

import pytest

from tests.http.world import F1, F2, Site
from tests.web.test_submit_pages import text_of
from tests.web.visit import Visit, forms_of

NASTY = "<img src=https://elsewhere.example/x onerror=alert(1)><script>alert(2)</script>"


def at_desk(site: Site, who: str = "mia", path: str = "/desk") -> Visit:
    """Return somebody who has signed in and opened a page of the desk."""
    visit = Visit(site.app)
    visit.open("/sign-in")
    visit.send("/sign-in", {"token": site.tokens[who]})
    visit.open(path)
    return visit


def at_case(site: Site, who: str = "mia", subject: str = "upper") -> tuple[Visit, str]:
    """Return somebody at a case of the first frame, and the case's path."""
    path = f"/desk/{site.case(subject)[0]}"
    return at_desk(site, who, path), path


def check(visit: Visit, path: str, ruling: str, **typed: str) -> None:
    """Fill in the form of a ruling and look at what it does."""
    fill(visit, f"{path}/check", "ruling", ruling, typed)


def fill(visit: Visit, action: str, name: str, which: str, typed: dict[str, str]) -> None:
    """Send the form that goes to ``action`` and whose field ``name`` says which it is."""
    form = next(f for f in forms_of(visit.shown.text) if f.action == action and f.fields.get(name) == which)
    assert set(typed) <= form.names, f"the form has no {set(typed) - form.names}"
    visit.shown = visit.client.post(
        action, data=form.fields | typed, headers={"Origin": visit.base, "Sec-Fetch-Site": "same-origin"}
    )


def answer(site: Site, of: str = F1) -> dict[str, Any]:
    """Return the published answer for the upper end."""
    found: dict[str, Any] = site.get(f"/v1/frames/{of}").json["ends"]["upper"]
    return found


def other_claim(site: Site) -> str:
    """Let a contributor contradict what stands; return the claim's id."""
    return str(site.claim(value={"mount": "hardware", "bolt_mm": 8, "width_mm": 30}).json["claim"]["id"])


@pytest.mark.parametrize("path", ["/desk", "/desk/documents?document=example.org/1", "/desk/q-0000000001"])
def test_the_desk_is_for_maintainers(site: Site, path: str) -> None:
    assert "Sign in" in text_of_opened(Visit(site.app), path)
    for who in ("ann", "rob"):
        assert at_desk(site, who, path).shown.status_code == 403
    assert at_desk(site, "ops", "/desk").shown.status_code == 200


def text_of_opened(visit: Visit, path: str) -> str:
    """Return the text of a page."""
    visit.open(path)
    return text_of(visit)


def test_a_contributor_with_a_maintainers_forms_changes_nothing(site: Site) -> None:
    other_claim(site)
    path, _ = site.case()
    visit = at_desk(site, "ann", "/account")
    token = re.search(r'name="form" value="([0-9a-f]{64})"', visit.shown.text)
    assert token is not None
    data = {
        "form": token[1], "once": "01234567-0123-0123-0123-0123456789ab", "ruling": "withhold", "why": "x",
        "match": "*", "claim": "c-0000000001", "question": "why?", "edit": "withdraw", "document": "example.org/1",
    }  # fmt: skip
    before, last = answer(site), site.last()
    for action in ("check", "rulings", "questions", "record", "record/check"):
        assert visit.client.post(f"/desk/{path}/{action}", data=data).status_code == 403, action
    for action in ("open", "documents", "documents/check"):
        assert visit.client.post(f"/desk/{action}", data=data).status_code == 403, action
    person = site.get("/v1/account", who="ben").json["id"]
    for action in ("check", "undoing"):
        assert visit.client.post(f"/desk/people/{person}/{action}", data=data).status_code == 403, action
    assert (answer(site), site.last()) == (before, last)


def test_the_queue_says_in_words_why_a_case_stands_where_it_does(site: Site) -> None:
    other_claim(site)
    flag = {"frame": F2, "subject": "lower", "reason": "unsafe", "words": NASTY}
    assert site.post("/v1/flags", flag, key="11111111-1111-4111-8111-111111111111").status_code == 201
    shown = text_of(at_desk(site))
    assert shown.index("2024 on: lower end") < shown.index("2021 to 2023: upper end")
    assert "somebody says that one can come to harm by it +80" in shown
    assert "not known, nothing is answered +15" in shown
    assert "A claim waits for a review." in shown


def test_the_queue_goes_on_behind_a_page(site: Site, monkeypatch: pytest.MonkeyPatch) -> None:
    other_claim(site)
    site.claim(frame=F2)
    site.claim(subject="lower")
    monkeypatch.setattr("boltspan.web.desk_pages.A_PAGE", 1)
    visit = at_desk(site)
    seen = []
    for _ in range(3):
        seen += re.findall(r'<h3><a href="(/desk/q-[0-9a-z]{10})">', visit.shown.text)
        onward = re.search(r'href="(/desk\?after=[-0-9a-z.]+)"', visit.shown.text)
        assert onward is not None
        visit.open(onward[1])
    assert len(set(seen)) == 3
    assert "These were the last." in text_of(visit)
    assert "First what matters most" in text_of_opened(visit, "/desk?after=nonsense")


def test_the_next_case_is_another_one_or_the_queue(site: Site) -> None:
    other_claim(site)
    upper = f"/desk/{site.case()[0]}"
    assert at_desk(site, "mia", f"/desk/next?not={upper[6:]}").shown.request.path == "/desk"
    assert at_desk(site, "mia", "/desk/next").shown.request.path == upper
    site.claim(frame=F2)
    assert at_desk(site, "mia", f"/desk/next?not={upper[6:]}").shown.request.path not in ("/desk", upper)


def test_a_ruling_is_shown_with_what_it_does_then_carried_out_then_undone(site: Site) -> None:
    claim = other_claim(site)
    before = answer(site)
    visit, path = at_case(site)
    assert "Nothing waits" not in text_of(visit)
    check(visit, path, "settle", value="other", label="30 x M8", why="the page was read anew")
    shown = text_of(visit)
    assert "Nothing has been changed yet." in shown
    assert "After it they are told: M8 x 30, rely on it." in shown
    assert "accepted after it" in shown
    assert answer(site) == before
    visit.send(f"{path}/rulings")
    assert "Carried out: settled." in text_of(visit)
    assert (answer(site)["standing"], answer(site)["value"]["label"]) == ("settled", "M8 x 30")
    assert site.get(f"/v1/claims/{claim}", who="ann").json["claim"]["state"] == "accepted"
    check(visit, path, "reverse", why="it was the wrong page")
    assert "M8 x 30" in text_of(visit)
    visit.send(f"{path}/rulings")
    assert "Carried out: decision undone." in text_of(visit)
    assert answer(site) == before


def test_sending_a_ruling_twice_counts_once(site: Site) -> None:
    other_claim(site)
    visit, path = at_case(site)
    check(visit, path, "withhold", why="looks unsafe")
    fields = visit.form(f"{path}/rulings").fields
    sent = [visit.client.post(f"{path}/rulings", data=fields).status_code for _ in range(2)]
    assert sent == [303, 303]
    with site.storage.reading() as uow:
        assert [d.ruling for d in uow.statements.decisions(F1) if d.subject == "upper"] == ["withhold"]


def test_the_second_maintainer_is_told_what_changed_and_loses_nothing(site: Site) -> None:
    other_claim(site)
    visit, path = at_case(site)
    check(visit, path, "settle", value="other", label="30 x M8", why="as the page says")
    case, tag = site.case()
    hold = {"ruling": "withhold", "why": "a rider was hurt"}
    assert site.post(f"/v1/reviews/{case}/decisions", hold, who="max", match=tag).status_code == 201
    visit.send(f"{path}/rulings")
    assert visit.shown.status_code == 412
    shown = text_of(visit)
    assert "What happened meanwhile" in shown
    assert "Put on hold. Reason: a rider was hurt" in shown
    form = next(f for f in forms_of(visit.shown.text) if f.fields.get("ruling") == "settle")
    assert (form.fields["label"], form.fields["why"]) == ("30 x M8", "as the page says")
    assert answer(site)["standing"] == "withheld"
    check(visit, path, "settle")
    visit.send(f"{path}/rulings")
    assert answer(site)["value"]["label"] == "M8 x 30"


@pytest.mark.parametrize(
    ("ruling", "typed", "field"),
    [
        ("settle", {"why": "so"}, "settle-value"),
        ("settle", {"value": "other", "label": "8 x 15", "why": "so"}, "settle-label"),
        ("settle", {"value": "other", "label": "M10 x 40", "why": "so"}, "settle-value"),
        ("settle", {"value": "other", "label": "M8 x 30"}, "settle-why"),
        ("refuse_claims", {"why": "so", "reason": "wrong_size"}, "refuse_claims-claims"),
        ("refuse_claims", {"why": "so", "claim_c-0000000001": "yes"}, "refuse_claims-reason"),
        ("withhold", {}, "withhold-why"),
        ("leave_open", {"why": "x" * 501}, "leave_open-why"),
    ],
)  # fmt: skip
def test_each_mistake_is_told_at_its_field_and_nothing_is_lost(
    site: Site, ruling: str, typed: dict[str, str], field: str
) -> None:
    other_claim(site)
    visit, path = at_case(site)
    check(visit, path, ruling, **typed)
    assert visit.shown.status_code == 422
    assert f'id="{field}-wrong"' in visit.shown.text
    assert f'href="#{field}"' in visit.shown.text
    assert len(re.findall(f'id="{field}"', visit.shown.text)) == 1
    form = next(f for f in forms_of(visit.shown.text) if f.fields.get("ruling") == ruling)
    assert {k: form.fields.get(k) for k in typed} == typed


def test_refusing_with_a_reason_reaches_the_contributor(site: Site) -> None:
    claim = other_claim(site)
    visit, path = at_case(site)
    check(visit, path, "refuse_claims", **{f"claim_{claim}": "yes", "reason": "cannot_tell", "why": "no page named"})
    assert "waits for review now, ruled out after it" in text_of(visit)
    visit.send(f"{path}/rulings")
    shown = text_of_opened(at_desk(site, "ann", "/claims"), f"/claims/{claim}")
    assert "no page named" in shown
    assert "State: ruled out" in shown


def test_a_contributor_is_asked_for_more(site: Site) -> None:
    claim = other_claim(site)
    visit, path = at_case(site)
    visit.send(f"{path}/questions", {"question": NASTY})
    assert visit.shown.status_code == 422
    assert visit.form(f"{path}/questions").fields["question"] == NASTY
    visit.send(f"{path}/questions", {"claim": claim})
    assert "The contributor is asked" in text_of(visit)
    assert "waits for the contributor’s answer" in text_of(visit)
    shown = at_desk(site, "ann", f"/claims/{claim}").shown.text
    assert "A maintainer asks:" in shown
    assert NASTY not in shown


def test_nobody_rules_on_an_own_claim_and_is_told_so(site: Site) -> None:
    site.claim("mia", value={"mount": "hardware", "bolt_mm": 8, "width_mm": 30})
    visit, path = at_case(site)
    assert "A claim here is yours. Nobody rules on an own claim" in text_of(visit)
    check(visit, path, "settle", value="other", label="30 x M8", why="mine")
    assert visit.shown.status_code == 403
    assert "Nobody decides on an own claim" in text_of(visit)
    check(visit, path, "withhold", why="the safe side")
    assert visit.shown.status_code == 200


def test_strangers_words_are_words_on_every_page_of_the_desk(site: Site) -> None:
    source = {"kind": "spec_page", "document": NASTY, "seen_on": "2026-05-01", "quote": NASTY}
    other = {"kind": "spec_page", "url": "https://example.org/a?b=c", "seen_on": "2026-05-01", "quote": NASTY}
    assert site.claim(source=source, value={"mount": "hardware", "bolt_mm": 8, "width_mm": 30}).status_code == 201
    assert site.claim("ben", source=other, value={"mount": "hardware", "bolt_mm": 8, "width_mm": 32}).status_code == 201
    flag = {"frame": F1, "subject": "upper", "reason": "other", "words": NASTY}
    site.post("/v1/flags", flag, key="11111111-1111-4111-8111-111111111111")
    visit, path = at_case(site)
    pages = [visit.shown.text]
    check(visit, path, "settle", value="other", label="30 x M8", why=NASTY)
    pages.append(visit.shown.text)
    visit.send(f"{path}/rulings")
    pages.append(visit.shown.text)
    visit.client.get("/desk/documents", query_string={"document": NASTY})
    visit.shown = visit.client.get("/desk/documents", query_string={"document": NASTY})
    pages.append(visit.shown.text)
    visit.send("/desk/documents/check", {"ruling": "settle", "why": NASTY})
    pages.append(visit.shown.text)
    assert all("&lt;script&gt;" in page for page in pages)
    for page in pages:
        assert "<script" not in page
        assert "elsewhere.example/x onerror" not in re.sub(r"&lt;.*?&gt;", "", page)
        for link in re.findall(
            r'<a href="https?://[^>]*>', page.replace('rel="license noreferrer"', 'rel="noreferrer"')
        ):
            assert "noreferrer" in link


def test_a_whole_table_is_settled_in_one_act_and_what_cannot_be_is_left(site: Site) -> None:
    table = {"kind": "spec_page", "document": "invented table 7", "seen_on": "2026-05-01"}
    with site.storage.writing() as uow:
        uow.settings.put("rule_batch", "3")
    for frame, subject, width in ((F1, "lower", 40), (F2, "lower", 40), (F2, "upper", 22), (F1, "upper", 30)):
        value = {"mount": "hardware", "bolt_mm": 8, "width_mm": width}
        assert site.claim(frame=frame, subject=subject, value=value, source=table).status_code == 201
    visit = at_desk(site)
    assert "invented table 7 4 claims wait" in text_of(visit)
    visit.open("/desk/documents?document=invented+table+7")
    assert "3 lines can be settled together; the others are ruled on one by one." in text_of(visit)
    visit.send("/desk/documents/check", {"ruling": "refuse_claims"})
    assert {"reason-wrong", "why-wrong"} == set(re.findall(r'id="([\w]+-wrong)"', visit.shown.text))
    visit.send("/desk/documents/check", {"ruling": "settle", "why": "read line by line"})
    assert "Settle 3 lines: is this right?" in text_of(visit)
    stale = dict(visit.form("/desk/documents").fields)
    visit.send("/desk/documents")
    shown = text_of(visit)
    assert "Carried out on 3 lines" in shown
    assert "Another claim, or the document itself, says something else." in shown
    assert site.get(f"/v1/frames/{F2}").json["ends"]["lower"]["value"]["label"] == "M8 x 40"
    again = visit.client.post("/desk/documents", data=stale | {"once": "01234567-0123-0123-0123-0123456789ab"})
    assert again.status_code == 412
    assert "Somebody was here since you read this" in again.text


def test_a_proposed_frame_is_accepted_and_a_double_merged(site: Site) -> None:
    double = site.double()
    opened = {"record": double, "subject": "upper", "why": "a double"}
    visit = at_desk(site)
    visit.send("/desk/open", opened | {"record": "f-9999999999"})
    assert visit.shown.status_code == 422
    assert visit.form("/desk/open").fields["subject"] == "upper"
    visit.send("/desk/open", {"record": double})
    visit.open(re.search(r'href="(/desk/q-[0-9a-z]{10}/record)"', visit.shown.text)[1])  # type: ignore[index]
    path = visit.shown.request.path
    fill(visit, f"{path}/check", "edit", "merge", {"into": F1, "why": "one and the same"})
    shown = text_of(visit)
    assert f"Who asks for it is led to {F1}." in shown
    assert site.get(f"/v1/frames/{double}").status_code == 200
    visit.send(path)
    assert "Carried out." in text_of(visit)
    assert site.get(f"/v1/frames/{double}").status_code == 308
    fill(visit, f"{path}/check", "edit", "restore", {"why": "no double after all"})
    visit.send(path)
    assert site.get(f"/v1/frames/{double}").status_code == 200


def test_a_frame_is_divided_by_a_qualifier(site: Site) -> None:
    other_claim(site)
    visit, path = at_case(site)
    visit.open(f"{path}/record")
    parts = {"part_1_kind": "frame_size", "part_1_is": "XL", "part_1_ask": "Is it the size XL?", "part_2_is": "S to L"}
    fill(visit, f"{path}/record/check", "edit", "divide", parts | {"why": "the largest differs"})
    assert visit.shown.status_code == 422
    assert 'id="divide-part_2_kind-wrong"' in visit.shown.text
    fill(visit, f"{path}/record/check", "edit", "divide",
         {"part_2_kind": "frame_size", "part_2_ask": "Is it smaller than XL?"})  # fmt: skip
    shown = text_of(visit)
    assert "frame size XL" in shown
    assert "Not known" in shown
    last = site.last()
    visit.send(f"{path}/record")
    assert site.last() == last + 3
    gone = site.get(f"/v1/frames/{F1}")
    assert (gone.status_code, len(gone.json["ask_instead"])) == (410, 2)
