"""``boltspan release``: build, list, verify and withdraw, from an empty data folder on."""

from __future__ import annotations

from pathlib import Path

import pytest

from boltspan.cli import main
from boltspan.dataset.contents import Dataset
from boltspan.dataset.files import write_dataset
from tests.dataset import release_sample as sample


@pytest.fixture
def data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A data folder without anything in it; the database is filled from the sample of the release tests."""
    entries = tuple(sample.entries())
    dataset = Dataset("Demo: invented frames", "CC0-1.0", demo=True, head=0, makes=sample.MAKES, models=sample.MODELS,
                      entries=entries)  # fmt: skip
    write_dataset(dataset, tmp_path / "dataset")
    monkeypatch.setattr("boltspan.cli.GROUPS", ("release",))  # the other groups load what these tests do not need
    monkeypatch.setenv("BOLTSPAN_DATASET", str(tmp_path / "dataset"))
    monkeypatch.setenv("BOLTSPAN_DATA", str(tmp_path / "data"))
    return tmp_path / "data"


def only_release(data: Path) -> Path:
    (folder,) = (p for p in (data / "releases").iterdir() if p.is_dir())
    return folder


def test_a_release_from_build_to_withdrawal(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["release", "list"]) == 1  # the database has no tables yet
    assert main(["release", "build"]) == 0
    folder = only_release(data)
    assert str(folder) in capsys.readouterr().out
    assert main(["release", "verify", str(folder)]) == 0
    assert "in order" in capsys.readouterr().out
    assert main(["release", "list"]) == 0
    (line,) = capsys.readouterr().out.splitlines()
    assert line.startswith(folder.name)
    assert line.endswith("  invented")
    assert main(["release", "build"]) == 1
    assert "nothing changed since release" in capsys.readouterr().err
    assert main(["release", "withdraw", folder.name, "--why", "a column was wrong"]) == 0
    assert main(["release", "list"]) == 0
    assert "a column was wrong" in capsys.readouterr().out
    assert folder.is_dir()
    assert main(["release", "withdraw", "2026.01.99", "--why", "no such release"]) == 1


def test_verify_names_what_is_wrong_and_fails(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["release", "build"]) == 0
    folder = only_release(data)
    (folder / "models.csv").unlink()
    (folder / "notes.txt").write_text("x\n", "utf-8")
    capsys.readouterr()
    assert main(["release", "verify", str(folder)]) == 1
    told = capsys.readouterr()
    assert told.out.splitlines() == ["models.csv: missing", "notes.txt: extra, the release does not list it"]
    assert "2 problems" in told.err
    assert main(["release", "verify", str(data / "nothing")]) == 1


def test_a_withdrawal_without_a_reason_is_wrong_usage(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stopped:
        main(["release", "withdraw", "2026.01.1"])
    assert stopped.value.code == 2
    assert "--why" in capsys.readouterr().err
