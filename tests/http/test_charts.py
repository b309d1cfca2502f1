"""A chart sent to the service: who may, what is answered, and that it is taken in once."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from werkzeug.test import TestResponse

from tests.http.world import F1, Site

TEXT = "make;model;year;upper;lower\nTarnvale;Skerry;2021-23;22,2 x 8;8 x 15\nTarnvale;Skerri;2021;8x30;\n"


def chart(**more: Any) -> dict[str, Any]:
    return {"document": "wall chart", "text": TEXT} | more


def told(response: TestResponse) -> Any:
    return response.get_json()


def test_a_chart_is_answered_row_by_row_and_shows_at_once(site: Site) -> None:
    sent = site.post("/v1/charts", chart(), who="mia")
    assert sent.status_code == 201
    assert told(sent)["counts"] == {"added": 1, "refused": 1, "unknown": 1}
    assert [(o["row"], o["outcome"], o.get("code")) for o in told(sent)["outcomes"]] == [
        (2, "refused", "width_or_bore_unclear"), (2, "added", None), (3, "unknown", "unknown_model"),
    ]  # fmt: skip
    assert told(site.get(sent.headers["Location"]))["changes"][0]["kind"] == "claim_added"
    assert told(site.get(f"/v1/frames/{F1}"))["ends"]["upper"]["basis"]["claims"] == 4
    again = site.post("/v1/charts", chart(), who="mia")
    assert told(again)["counts"] == {"refused": 1, "said_already": 1, "unknown": 1}


def test_a_preview_writes_nothing(site: Site) -> None:
    before = site.last()
    sent = site.post("/v1/charts", chart(preview=True), who="mia")
    assert (sent.status_code, told(sent)["written"], told(sent)["counts"]["added"]) == (200, False, 1)
    assert site.last() == before


@pytest.mark.parametrize(("who", "status"), [(None, 401), ("ann", 403), ("rob", 403), ("ops", 201)])
def test_only_maintainers_and_operators_bring_charts(site: Site, who: str | None, status: int) -> None:
    assert site.post("/v1/charts", chart(), who=who).status_code == status


@pytest.mark.parametrize("more", [
    {"text": "no headings"}, {"text": ""}, {"text": "x" * 250_001}, {"text": "model,front\n\x00"}, {"document": ""},
    {"preview": False}, {"mapping": {"columns": {"a": "colour"}}}, {"mapping": {"words": {"a": 1}}},
    {"mapping": {"as_above": ["front"]}}, {"by": "p-000000000a"},
])  # fmt: skip
def test_what_does_not_go_is_told_and_nothing_is_written(site: Site, more: dict[str, Any]) -> None:
    before = site.last()
    sent = site.post("/v1/charts", chart(**more), who="mia")
    assert sent.status_code == 422
    assert told(sent)["errors"]
    assert site.last() == before


def block(site: Site, *handles: str) -> None:
    with site.storage.writing() as uow:
        for handle in handles:
            account = uow.accounts.by_handle(handle)
            assert account is not None
            uow.accounts.put_account(replace(account, blocked=True))


def accept(site: Site, frame: str, who: str = "mia") -> int:
    tag = site.get(f"/v1/frames/{frame}", who=who).headers["ETag"]
    body = {"edit": "accept", "why": "it stands in the chart"}
    return site.post(f"/v1/frames/{frame}/edits", body, who=who, match=tag).status_code


def test_the_only_maintainer_accepts_what_came_with_an_own_chart_and_nothing_else_of_theirs(site: Site) -> None:
    """The chart is the source, not the person; where somebody else may decide, they do."""
    text = "make;model;year;upper;lower\nEbbcombe;Hollowmere;2024;M8x30;trunnion\nEbbcombe;Fennick;2024;M8x22;M8x30\n"
    frames = {o["frame"] for o in told(site.post("/v1/charts", chart(text=text, propose=True), who="mia"))["outcomes"]}
    first, second = sorted(frames)
    by_hand = {"make": {"name": "Ebbcombe"}, "model": {"name": "Gannet"}, "years": {"from": 2024},
               "ends": ["upper", "lower"]}  # fmt: skip
    own = told(site.post("/v1/frames", by_hand, who="mia"))["frame"]["id"]
    assert [accept(site, frame) for frame in (first, own)] == [403, 403]
    block(site, "max")
    assert accept(site, first) == 403  # the operator may decide too
    block(site, "ops")
    assert accept(site, own) == 403
    site.claim("mia", frame=second, document="example.org/mia")
    assert [accept(site, frame) for frame in (first, second)] == [201, 403]
    assert site.get(f"/v1/frames/{first}").status_code == 200


def test_unknown_makes_are_proposed_for_another_maintainer_to_accept(site: Site) -> None:
    text = "make;model;year;upper;lower\nEbbcombe;Hollowmere;2024;M8x30;trunnion\n"
    sent = site.post("/v1/charts", chart(text=text, propose=True), who="mia")
    assert (sent.status_code, told(sent)["counts"]) == (201, {"proposed": 2})
    frame = told(sent)["outcomes"][0]["frame"]
    assert site.get(f"/v1/frames/{frame}").status_code == 404
    assert site.get(f"/v1/frames/{frame}", who="mia").status_code == 200
    again = site.post("/v1/charts", chart(text=text, propose=True), who="mia")
    assert told(again)["counts"] == {"said_already": 2}
    texts = site.get("/v1/vocabulary").get_json()
    assert {"proposed", "held"} <= texts["chart_outcomes"].keys()
    assert "near_known" in texts["chart_reasons"]
