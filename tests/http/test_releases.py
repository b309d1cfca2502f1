"""Releases over HTTP: what they hold, byte for byte, for ever, and nothing outside them."""

from __future__ import annotations

import hashlib

import pytest

from boltspan.services.permissions import COMMAND_LINE
from boltspan.services.publish import build_release, withdraw_release
from tests.http.world import F1, WITHDRAWN, Site

IMMUTABLE = "public, max-age=31536000, immutable"


@pytest.fixture
def version(site: Site) -> str:
    """Build a release and return its version."""
    site.data.mkdir(parents=True, exist_ok=True)
    return build_release(COMMAND_LINE, site.storage, site.data).version


def test_releases_are_listed_and_each_shows_its_files(site: Site, version: str) -> None:
    assert [r["version"] for r in site.get("/v1/releases").json["releases"]] == [version]
    manifest = site.get(f"/v1/releases/{version}").json
    assert manifest["files"]
    for file in manifest["files"]:
        sent = site.get(f"/v1/releases/{version}/files/{file['path']}")
        assert (sent.status_code, len(sent.data)) == (200, file["bytes"])
        assert hashlib.sha256(sent.data).hexdigest() == file["sha256"]
        assert sent.headers["Cache-Control"] == IMMUTABLE
        assert sent.headers["ETag"] == f'"{file["sha256"][:32]}"'
        assert sent.headers["X-Content-Type-Options"] == "nosniff"
        assert sent.mimetype != "text/html"
        again = site.get(
            f"/v1/releases/{version}/files/{file['path']}", headers={"If-None-Match": sent.headers["ETag"]}
        )
        assert (again.status_code, again.data, again.headers["ETag"]) == (304, b"", sent.headers["ETag"])
        assert again.headers["Cache-Control"] == IMMUTABLE
    assert site.get(f"/v1/releases/{version}/files/SHA256SUMS").status_code == 200


def test_a_frame_answers_as_it_did_in_a_release(site: Site, version: str) -> None:
    then = site.get(f"/v1/frames/{F1}").data
    site.claim()
    assert site.get(f"/v1/frames/{F1}").data != then
    sent = site.get(f"/v1/frames/{F1}?release={version}")
    assert (sent.status_code, sent.data, sent.headers["Cache-Control"]) == (200, then, IMMUTABLE)
    for path in (f"{WITHDRAWN}?release={version}", f"{F1}?release=2031.01.0", f"f-zzzzzzzzzz?release={version}"):
        assert site.get(f"/v1/frames/{path}").status_code == 404
    assert site.get(f"/v1/frames/{F1}?release=latest").status_code == 422


def test_nothing_outside_a_release_is_sent(site: Site, version: str) -> None:
    secret = site.data / "secret.txt"
    secret.write_text("kept to ourselves", "utf-8")
    for name in ("../secret.txt", "..%2f..%2fsecret.txt", "%2e%2e/%2e%2e/secret.txt", "..\\secret.txt", str(secret), "",
                 "answers.jsonl/", "/answers.jsonl", "nothing.csv"):  # fmt: skip
        sent = site.get(f"/v1/releases/{version}/files/{name}")
        assert sent.status_code == 404, name
        assert b"kept to ourselves" not in sent.data
    for wrong in ("../releases", "2026.1.0", "x", f"{version}/.."):
        assert site.get(f"/v1/releases/{wrong}").status_code == 404


def test_a_broken_release_is_marked_and_stays(site: Site, version: str) -> None:
    before = site.get(f"/v1/releases/{version}").headers["ETag"]
    with site.storage.writing() as uow:
        withdraw_release(COMMAND_LINE, uow, site.clock, version, "a wrong file")
    [listed] = site.get("/v1/releases").json["releases"]
    assert listed["withdrawn"]["why"] == "a wrong file"
    sent = site.get(f"/v1/releases/{version}")
    assert (sent.json["withdrawn"]["why"], sent.headers["ETag"] != before) == ("a wrong file", True)
    assert site.get(f"/v1/releases/{version}/files/answers.jsonl").status_code == 200
