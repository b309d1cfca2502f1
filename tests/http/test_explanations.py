"""Explanations in three forms, by query or by Accept; a contributor's record for maintainers alone."""

from __future__ import annotations

import math
import xml.etree.ElementTree as ET

import pytest

from tests.http.world import DIVIDED, F1, MERGED, Site

PATH = f"/v1/frames/{F1}/explanations/upper"


def test_an_explanation_adds_up_and_can_be_kept(site: Site) -> None:
    got = site.get(PATH)
    assert (got.status_code, got.content_type) == (200, "application/json")
    said = got.get_json()
    total = said["prior_log10_odds"] + said["other_end_log10_odds"] + sum(w["log10_odds"] for w in said["weights"])
    assert total == pytest.approx(math.log10(said["first"]["p"] / said["second"]["p"]), abs=1e-9)
    assert said["weights"]
    assert said["cautions"]
    assert "calipers" not in said
    again = site.app.test_client().get(PATH, headers={"If-None-Match": got.headers["ETag"]})
    assert again.status_code == 304
    assert "max-age" in got.headers["Cache-Control"]
    assert "Accept" in got.headers["Vary"]


@pytest.mark.parametrize(
    ("query", "accept", "kind"),
    [
        ("", "*/*", "application/json"),
        ("", "text/plain", "text/plain; charset=utf-8"),
        ("", "image/svg+xml,image/*;q=0.8", "image/svg+xml"),
        ("", "text/html", "application/json"),
        ("?form=text", "application/json", "text/plain; charset=utf-8"),
        ("?form=svg", "*/*", "image/svg+xml"),
        ("?form=json", "text/plain", "application/json"),
    ],
)
def test_the_form_is_what_is_asked_for(site: Site, query: str, accept: str, kind: str) -> None:
    got = site.app.test_client().get(PATH + query, headers={"Accept": accept})
    assert (got.status_code, got.content_type) == (200, kind)
    if kind == "image/svg+xml":
        assert ET.fromstring(got.data).tag.endswith("svg")
    if kind.startswith("text/plain"):
        assert "What would settle it:" in got.text


def test_what_is_not_there_and_what_is_no_form(site: Site) -> None:
    assert site.get(f"/v1/frames/{F1}/explanations/rear").status_code == 404
    assert site.get(f"/v1/frames/{MERGED}/explanations/upper").status_code == 308
    assert site.get(f"/v1/frames/{DIVIDED}/explanations/upper").status_code == 410
    assert site.get(f"{PATH}?form=pdf").status_code == 422


def test_a_record_is_for_maintainers(site: Site) -> None:
    path = "/v1/contributors/p-000000000a/record"
    assert site.get(path).status_code == 401
    assert site.send("GET", path, who="ann").status_code == 403
    got = site.send("GET", path, who="mia")
    assert got.status_code == 200
    assert got.headers["Cache-Control"] == "no-store"
    assert {"reliability", "uncertainty", "claims", "snapshot"} <= set(got.get_json())
    maintainers = site.send("GET", PATH, who="mia")
    assert maintainers.headers["Cache-Control"] == "no-store"
