"""Releases and the database's own facts."""

from __future__ import annotations

from dataclasses import replace

from boltspan.services.protocols import StoredRelease
from boltspan.storage import SqlStorage

RELEASE = StoredRelease("2026.05.1", "2026-05-01", 12, {"resources": [{"name": "frames", "bytes": 2**40}]})


def test_releases_are_kept_replaced_and_listed_by_number(storage: SqlStorage) -> None:
    versions = ["2025.12.9", "2026.04.9", "2026.04.10", "2026.05.1"]
    withdrawn = replace(RELEASE, withdrawn_on="2026-05-02", withdrawn_why="wrong widths")
    with storage.writing() as unit:
        assert unit.releases.releases() == []
        assert unit.releases.release("2026.05.1") is None
        for version in (versions[2], versions[0], versions[3], versions[1]):
            unit.releases.put(replace(RELEASE, version=version))
        unit.releases.put(withdrawn)
    with storage.reading() as unit:
        assert [release.version for release in unit.releases.releases()] == versions[::-1]
        assert unit.releases.release("2026.05.1") == withdrawn
        assert unit.releases.release("2026.04.9") == replace(RELEASE, version="2026.04.9")


def test_settings_are_kept_and_replaced(storage: SqlStorage) -> None:
    with storage.writing() as unit:
        assert unit.settings.get("title") is None
        unit.settings.put("title", "Old")
        unit.settings.put("title", "Größen")
        unit.settings.put("demo", "")
    with storage.reading() as unit:
        assert unit.settings.get("title") == "Größen"
        assert unit.settings.get("demo") == ""
        assert unit.settings.get("Title") is None
