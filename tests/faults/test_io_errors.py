"""Fault 4: the disk refuses some writes and syncs."""

from __future__ import annotations

import pathlib
import pickle

from tests.faults.processes import run
from tests.faults.soundness import unsound
from tests.faults.writing import opened, submitter

CLAIMS = 250


def test_what_a_failing_disk_acknowledged_is_stored_and_the_rest_can_be_sent_again(tmp_path: pathlib.Path) -> None:
    """Fault 4: one operation in a hundred fails: Unavailable or done, nothing else; retried keys give one row each."""
    run("tests.faults.writing", "fail", tmp_path, 0.01, CLAIMS)
    acknowledged, failed, strange, refused, token = pickle.loads((tmp_path / "log").read_bytes())
    assert strange == []
    assert refused > 20
    assert len(acknowledged) > 20
    assert len(failed) > 20
    storage = opened(tmp_path)
    assert unsound(storage) == []
    send = submitter(storage, token)
    again = {number: send(number) for number in range(CLAIMS)}
    assert acknowledged.items() <= again.items()
    with storage.reading() as uow:
        assert uow.catalogue.count()["claims"] == len(set(again.values())) == CLAIMS
    assert unsound(storage) == []
    storage.engine.dispose()
