"""``boltspan resolve --all``: what would change is written before it is published; a script is not asked."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest

from boltspan.cli import main
from boltspan.dataset.contents import Dataset
from boltspan.dataset.files import write_dataset
from boltspan.services import relearning
from tests.dataset import release_sample as sample


@pytest.fixture(autouse=True)
def _data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    dataset = Dataset("Demo: invented frames", "CC0-1.0", demo=True, head=0, makes=sample.MAKES, models=sample.MODELS,
                      entries=tuple(sample.entries()))  # fmt: skip
    write_dataset(dataset, tmp_path / "dataset")
    monkeypatch.setattr("boltspan.cli.GROUPS", ("resolve",))
    monkeypatch.setenv("BOLTSPAN_DATASET", str(tmp_path / "dataset"))
    monkeypatch.setenv("BOLTSPAN_DATA", str(tmp_path / "data"))
    monkeypatch.setattr("sys.stdin", io.StringIO(""))


def test_a_script_publishes_only_when_told_to(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    published: list[object] = []
    whole = relearning.publish
    monkeypatch.setattr("boltspan.cli.relearn.publish", lambda *a: published.append(a) or whole(*a))
    assert main(["resolve", "--all"]) == 0
    told = capsys.readouterr()
    assert told.out == "0 findings would change; 0 would have other probabilities only\n"
    assert "nothing was published" in told.err
    assert " frames" in told.err
    assert published == []
    assert main(["resolve", "--all", "--publish", "--json"]) == 0
    told = capsys.readouterr()
    document = json.loads(told.out)
    assert (document["changes"], document["other_probabilities"]) == ([], 0)
    assert f"the answers rest on snapshot {document['snapshot']} now" in told.err
    assert len(published) == 1


def test_options_of_all_go_with_it(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["resolve", "--publish"]) == 2
    assert "go with --all" in capsys.readouterr().err
