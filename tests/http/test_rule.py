"""The published rule over HTTP: everybody reads its limits, operators set them, each change is an event."""

from __future__ import annotations

from typing import Any

import pytest

from tests.http.world import Site


def limits(site: Site) -> dict[str, int]:
    return {limit["name"]: limit["number"] for limit in site.get("/v1/rule").json["limits"]}


def test_everybody_reads_the_limits_and_what_they_mean(site: Site) -> None:
    shown = site.get("/v1/rule")
    assert (shown.status_code, shown.json["rule"]) == (200, "rule/1")
    assert limits(site) == {"proven_after": 10, "pause_days": 365, "changes_a_day": 20, "batch": 20}
    texts = site.get("/v1/vocabulary").json
    assert {limit["name"]: limit["text"] for limit in shown.json["limits"]} == texts["rule_limits"]
    assert set(texts["rule_held"]) >= {"too_few_confirm", "claim_differs", "flag_open", "batch", "daily_limit"}


def test_an_operator_sets_a_limit_as_read_and_all_see_it_and_the_event(site: Site) -> None:
    tag, since = site.get("/v1/rule").headers["ETag"], site.last()
    body = {"name": "batch", "number": 30, "why": "our makers' tables are longer"}
    sent = site.post("/v1/rule/limits", body, who="ops", match=tag, key="one")
    assert (sent.status_code, sent.headers["Location"], limits(site)["batch"]) == (201, "/v1/rule", 30)
    assert site.post("/v1/rule/limits", body, who="ops", match=tag, key="one").json == sent.json
    assert site.post("/v1/rule/limits", body, who="ops", match=tag).status_code == 412
    assert [site.post("/v1/rule/limits", body, who="ops", match=m).status_code for m in (None, "", " ")] == [428] * 3
    told = site.get(f"/v1/changes?since={since}").json["changes"]
    assert [(e["kind"], e["limit"], e["number"]) for e in told] == [("rule_limit_set", "batch", 30)]
    again = site.post("/v1/rule/limits", body, who="ops", match=site.get("/v1/rule").headers["ETag"])
    assert (again.status_code, site.last()) == (201, since + 1)  # what stands already is no change


@pytest.mark.parametrize("more", [
    {"name": "colour"}, {"number": 0}, {"number": 1}, {"number": 10_001}, {"number": 2.5}, {"number": True},
    {"number": "30"}, {"why": ""}, {"number": None}, {"by": "p-000000000a"},
])  # fmt: skip
def test_what_is_no_limit_is_refused(site: Site, more: dict[str, Any]) -> None:
    before, tag = site.last(), site.get("/v1/rule").headers["ETag"]
    body = {"name": "batch", "number": 30, "why": "x"} | more
    assert site.post("/v1/rule/limits", body, who="ops", match=tag).status_code == 422
    assert (site.last(), limits(site)["batch"]) == (before, 20)
