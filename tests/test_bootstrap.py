"""Start: an empty database is filled once, from what is configured, and never poured over."""

from __future__ import annotations

from pathlib import Path

import pytest

from boltspan.bootstrap import differing_files, open_storage, outdated_evidence, prepare
from boltspan.config import Config
from boltspan.dataset.files import new_dataset
from boltspan.services.datasets import export_dataset


def test_a_real_empty_dataset_stays_empty(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    new_dataset(tmp_path / "real", "A real one")
    own = Config(data=tmp_path / "data", dataset=str(tmp_path / "real"))
    prepare(own, open_storage(own))
    shipped = Config(data=tmp_path / "data")
    storage = open_storage(shipped)
    prepare(shipped, storage)
    with storage.reading() as uow:
        held = export_dataset(uow)
    assert (held.demo, held.entries, held.title) == (False, (), "A real one")
    assert "not those that filled this database" in (differing_files(shipped, storage) or "")


def test_the_shipped_dataset_fills_an_empty_database_once(tmp_path: Path) -> None:
    config = Config(data=tmp_path / "data")
    storage = open_storage(config)
    prepare(config, storage)
    with storage.reading() as uow:
        last = uow.events.last()
    prepare(config, storage)
    with storage.reading() as uow:
        assert uow.events.last() == last > 0
    assert differing_files(config, storage) is None
    assert outdated_evidence(storage) is None


def test_answers_of_another_model_are_told_of_and_left_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    config = Config(data=tmp_path / "data")
    storage = open_storage(config)
    prepare(config, storage)
    monkeypatch.setattr("boltspan.bootstrap.model_version", lambda: "9.9.9+other")
    prepare(config, storage)
    assert "this version has 9.9.9+other; nothing was changed" in (outdated_evidence(storage) or "")
