"""Saying by page that an answer is wrong, and what the look-up says of questions that nobody can answer."""

from __future__ import annotations

import re
from typing import Any

import pytest

from boltspan.domain.ruling_reasons import FLAG_REASONS
from tests.http.test_desk import wanted
from tests.http.world import DIVIDED, F1, MERGED, OTHER, Site
from tests.web.test_submit_pages import text_of
from tests.web.visit import Visit, forms_of

WRONG = {"subject": "upper", "reason": "unsafe", "words": "the bolt bent"}


def flags(site: Site) -> list[Any]:
    """Return what is stored of flags on the first frame."""
    with site.storage.reading() as uow:
        return uow.flags.of_frame(F1)


def at_form(site: Site, asked: str = F1) -> Visit:
    """Return a stranger who has followed the link of a look-up's answer about an end."""
    visit = Visit(site.app)
    visit.open(f"/?q={asked}")
    assert f'href="/wrong?frame={asked}&amp;subject=upper" aria-label="This is wrong: Upper end"' in visit.shown.text
    assert f'href="/wrong?frame={asked}&amp;subject=shock_size"' in visit.shown.text
    visit.open(f"/wrong?frame={asked}&subject=upper")
    return visit


def test_a_stranger_says_what_is_wrong_and_is_told_what_happens_now(site: Site) -> None:
    before = site.get(f"/v1/frames/{F1}")
    visit = at_form(site)
    assert visit.form("/wrong").fields["subject"] == "upper"
    shown = text_of(visit)
    assert "Upper end: M8 x 22.2" in shown
    assert [text for text in FLAG_REASONS.values() if text not in shown.replace("&#39;", "'")] == []
    visit.send("/wrong", WRONG)
    shown = text_of(visit)
    assert "Thank you, it has arrived" in shown
    assert "A maintainer looks at it" in shown
    assert "changes no answer by itself" in shown
    assert "bolt bent" not in shown
    [flag] = flags(site)
    assert (flag.subject, flag.reason, flag.words, flag.by) == ("upper", "unsafe", "the bolt bent", None)
    assert flag.id in shown
    after = site.get(f"/v1/frames/{F1}")
    assert (after.data, after.headers["ETag"]) == (before.data, before.headers["ETag"])
    [case] = [c for c in site.get("/v1/reviews", who="mia").json["reviews"] if c["subject"] == "upper"]
    assert site.get(f"/v1/reviews/{case['id']}", who="mia").json["flags"][0]["words"] == "the bolt bent"


def test_a_form_sent_twice_counts_once_and_with_other_words_asks_first(site: Site) -> None:
    visit = at_form(site)
    page = visit.shown
    for _ in range(2):
        visit.shown = page
        assert "it has arrived" in visit.send("/wrong", WRONG).text
    assert len(flags(site)) == 1
    visit.shown = page
    assert visit.send("/wrong", WRONG | {"words": "and the tab"}).status_code == 409
    assert "arrived already" in text_of(visit)
    assert "and the tab" in visit.shown.text
    assert len(flags(site)) == 1
    visit.send("/wrong", {"subject": "upper", "reason": "unsafe"})
    assert "it has arrived" in text_of(visit)
    assert [f.words for f in flags(site)] == ["the bolt bent", "and the tab"]


@pytest.mark.parametrize(
    ("typed", "wrong"),
    [({}, {"reason"}), ({"subject": ""}, {"subject", "reason"}), ({"subject": "front", "reason": "other"}, {"subject"}),
     ({"reason": "ugly"}, {"reason"}), ({"reason": "other", "words": "w" * 501}, {"words"}),
     ({"reason": "other", "words": "\u202ex"}, {"words"})],
)  # fmt: skip
def test_what_is_missing_is_said_at_its_field_and_nothing_is_lost(
    site: Site, typed: dict[str, str], wrong: set[str]
) -> None:
    visit = at_form(site)
    visit.send("/wrong", {"words": "kept"} | typed)
    assert visit.shown.status_code == 422
    assert set(re.findall('id="([a-z]+)-wrong"', visit.shown.text)) == wrong
    assert visit.form("/wrong").fields["words"] == typed.get("words", "kept")
    assert flags(site) == []


def test_the_frame_as_a_whole_may_be_wrong_and_a_known_person_is_named_to_maintainers(site: Site) -> None:
    visit = Visit(site.app)
    visit.open("/sign-in")
    visit.send("/sign-in", {"token": site.tokens["ann"]})
    visit.open(f"/wrong?frame={MERGED}")
    assert "maintainers see that it was you" in text_of(visit)
    visit.send("/wrong", {"subject": "whole", "reason": "doubled"})
    assert "the frame as a whole" in text_of(visit)
    [flag] = flags(site)
    assert (flag.subject, flag.by) == ("record", site.get("/v1/account", who="ann").json["id"])


def test_records_that_answer_no_more_and_none_at_all_have_no_form(site: Site) -> None:
    visit = Visit(site.app)
    for frame, status in ((DIVIDED, 410), ("f-zzzzzzzzzz", 404), ("", 200)):
        assert visit.open(f"/wrong?frame={frame}").status_code == status
        assert "/wrong" not in [form.action for form in forms_of(visit.shown.text)]


def test_it_is_guarded_and_limited_together_with_the_api(site: Site) -> None:
    visit = at_form(site)
    page = visit.shown
    assert visit.send("/wrong", WRONG, headers={"Sec-Fetch-Site": "cross-site"}).status_code == 403
    visit.shown = page
    assert visit.send("/wrong", WRONG, without="form").status_code == 403
    assert flags(site) == []
    limited = site.build(rate_limits=True, report_quota=2)
    visit = Visit(limited)
    assert site.post("/v1/flags", {"frame": F1, "reason": "other"}, app=limited).status_code == 201
    codes = []
    for _ in range(2):
        visit.open(f"/wrong?frame={F1}&subject=upper")
        codes.append(visit.send("/wrong", WRONG).status_code)
    assert codes == [200, 429]
    assert visit.shown.headers["RateLimit-Policy"] == '"report";q=2;w=60'
    assert len(flags(site)) == 2


def test_what_the_page_cannot_answer_is_counted_like_what_the_api_cannot_and_is_said_to_be(site: Site) -> None:
    visit = Visit(site.app)
    visit.open("/?q=tarnvale+skerry+1999")
    assert "Your question has been counted by make, model and year" in text_of(visit)
    visit.open("/?q=my+name+is+Ann")
    assert "The text itself is not kept" in text_of(visit)
    assert 'href="/submit/frame?q=my%20name%20is%20Ann"' in visit.shown.text
    visit.open(f"/?q={OTHER}")
    assert "Asking for an end that is not known has been counted" in text_of(visit)
    for asked in ("", "f-zzzzzzzzzz", DIVIDED, "tarnvale"):
        assert 'class="counted"' not in visit.open(f"/?q={asked}").text
    assert sorted(wanted(site), key=repr) == sorted(
        [
            {"make": "Tarnvale", "model": "Skerry", "year": 1999, "asked": 1},
            {"kind": "unknown_name", "asked": 1},
            {"frame": OTHER, "asked": 1},
        ],
        key=repr,
    )
