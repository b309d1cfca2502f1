"""boltspan dataset and boltspan id, as somebody at a terminal uses them."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from boltspan.bootstrap import differing_files, open_storage
from boltspan.cli import main
from boltspan.config import Config
from boltspan.dataset.documents import documents_in
from boltspan.dataset.files import read_dataset
from boltspan.dataset.layout import HEADER
from boltspan.dataset.locate import dataset_folder
from boltspan.domain.ids import KINDS, is_id

FRAMES = "frames/tarnvale/wrackline.json"
SHIPPED = dataset_folder()
HEAD = read_dataset(SHIPPED).head


@pytest.fixture(autouse=True)
def data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty data folder; no other command group is loaded."""
    monkeypatch.setattr("boltspan.cli.GROUPS", ("dataset", "ids"))
    monkeypatch.setenv("BOLTSPAN_DATA", str(tmp_path / "data"))
    return tmp_path / "data"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the shipped dataset."""
    return Path(shutil.copytree(dataset_folder(), tmp_path / "mine"))


def records(root: Path) -> dict[str, bytes]:
    return {d.path: d.raw for d in documents_in(root)}


def edit(root: Path, old: str, new: str, path: str = FRAMES) -> None:
    text = (root / path).read_text("utf-8")
    assert old in text
    (root / path).write_text(text.replace(old, new, 1), "utf-8")


def test_a_sound_folder_passes_with_its_warnings_told(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["dataset", "check", str(folder)]) == 0
    told = capsys.readouterr()
    assert "[claim_twice, warning]" in told.out
    assert "0 errors, 1 warning" in told.err


def test_without_a_folder_the_configured_dataset_is_checked(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("BOLTSPAN_DATASET", str(folder))
    assert main(["dataset", "check"]) == 0
    assert str(folder) in capsys.readouterr().err


def test_everything_wrong_is_told_with_the_command_that_mends_it(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    edit(folder, '"mount": "hardware"', '"mount": "hardwear"')
    edit(folder, '"name": "Wrackline", "slug"', '"slug": "wrackline", "name": "Wrackline", "slag"')
    (folder / "makes" / "fennard.json").write_text((folder / "makes" / "fennard.json").read_text() + "\n")
    assert main(["dataset", "check", str(folder)]) == 1
    told = capsys.readouterr()
    assert "nearest: hardware" in told.out
    assert "there is no field 'slag' here" in told.out
    assert f"fix: boltspan dataset format {folder}" in told.out
    assert re.search(r"\d errors, 1 warning", told.err)


def test_no_folder_and_no_json_are_problems_too(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["dataset", "check", str(folder / "nowhere")]) == 1
    (folder / FRAMES).write_text("{", "utf-8")
    assert main(["dataset", "check", str(folder)]) == 1
    assert main(["dataset", "format", str(folder)]) == 1
    assert f"{FRAMES}: not strict JSON" in capsys.readouterr().out


def test_formatting_names_what_it_changed_and_is_done_once(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    neat = records(folder)
    edit(folder, '"years": {"from": 2018, "to": 2020}', '"years": {"to": 2020,   "from": 2018}')
    assert main(["dataset", "check", str(folder)]) == 1
    capsys.readouterr()
    assert main(["dataset", "format", str(folder)]) == 0
    assert capsys.readouterr().out == f"{FRAMES}\n"
    assert records(folder) == neat
    assert main(["dataset", "format", str(folder)]) == 0
    assert capsys.readouterr().out == ""


def test_a_new_dataset_is_started_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["dataset", "new", str(tmp_path / "new"), "--title", "Frames of the county"]) == 0
    assert main(["dataset", "check", str(tmp_path / "new")]) == 0
    assert "Frames of the county" in (tmp_path / "new" / HEADER).read_text("utf-8")
    assert main(["dataset", "new", str(tmp_path / "new")]) == 1
    assert "is there already" in capsys.readouterr().err


def test_an_untouched_export_is_the_shipped_files(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["dataset", "export", str(tmp_path / "out")]) == 0
    assert records(tmp_path / "out") == records(dataset_folder())
    assert f"at event {HEAD}; {len(records(SHIPPED))} files changed" in capsys.readouterr().out
    assert main(["dataset", "import", str(tmp_path / "out")]) == 0
    assert "nothing to import" in capsys.readouterr().out
    assert main(["dataset", "export", str(tmp_path / "out")]) == 0
    assert "0 files changed" in capsys.readouterr().out
    assert records(tmp_path / "out") == records(dataset_folder())


def test_an_edit_is_previewed_imported_and_exported(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    root = tmp_path / "out"
    assert main(["dataset", "export", str(root)]) == 0
    edit(root, '"to": 2022}', '"to": 2023}')
    capsys.readouterr()
    assert main(["dataset", "import", str(root), "--preview"]) == 0
    previewed = capsys.readouterr().out
    assert 'years: {"from": 2021, "to": 2022} -> {"from": 2021, "to": 2023}' in previewed
    assert "a preview; nothing was written" in previewed
    assert main(["dataset", "import", str(root)]) == 0
    assert f"imported, up to event {HEAD + 1}" in capsys.readouterr().out
    assert main(["dataset", "export", str(root)]) == 0
    assert "1 file changed" in capsys.readouterr().out
    assert f'"head": {HEAD + 1}'.encode() in records(root)[HEADER]


def test_clashes_are_listed_and_nothing_is_imported(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    one, other = tmp_path / "one", tmp_path / "other"
    for root, year in ((one, 2023), (other, 2024)):
        assert main(["dataset", "export", str(root)]) == 0
        edit(root, '"to": 2022}', f'"to": {year}}}')
    assert main(["dataset", "import", str(one)]) == 0
    capsys.readouterr()
    assert main(["dataset", "import", str(other)]) == 1
    told = capsys.readouterr().out
    assert "clash   f-ez83tbaffe years: this was changed here" in told
    assert "nothing was imported" in told
    assert main(["dataset", "export", str(one)]) == 0
    assert b'"to": 2023}' in records(one)[FRAMES]


def test_broken_files_are_not_imported(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    edit(folder, '"mount": "hardware"', '"mount": "hardwear"')
    assert main(["dataset", "import", str(folder)]) == 1
    told = capsys.readouterr()
    assert "nearest: hardware" in told.out
    assert "nothing was imported: 1 error" in told.err


def test_an_empty_database_is_filled_from_the_files_imported(
    tmp_path: Path, data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Never from the shipped, invented ones first: a real dataset could not be imported after that."""
    real = tmp_path / "real"
    assert main(["dataset", "new", str(real)]) == 0
    (real / "makes").mkdir()
    (real / "makes" / "osbrae.json").write_text(
        '{\n  "schema": "make/1",\n  "slug": "osbrae",\n  "name": "Osbrae"\n}\n', "utf-8"
    )
    capsys.readouterr()
    assert main(["dataset", "import", str(real), "--preview"]) == 0
    assert "fills an\nempty one with 1 make, 0 models, 0 frames" in capsys.readouterr().out
    assert main(["dataset", "import", str(real)]) == 0
    assert "was empty and now holds 1 make, 0 models, 0 frames, 0 shocks, up to event 1" in capsys.readouterr().out
    assert main(["dataset", "export", str(tmp_path / "out")]) == 0
    assert set(records(tmp_path / "out")) == {HEADER, "makes/osbrae.json"}
    assert b'"demo": false' in records(tmp_path / "out")[HEADER]


def test_importing_and_exporting_the_configured_files_brings_both_sides_into_step(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def differ() -> str:
        config = Config.from_environment()
        return differing_files(config, open_storage(config)) or ""

    monkeypatch.setenv("BOLTSPAN_DATASET", str(folder))
    assert main(["dataset", "import", str(folder)]) == 0
    assert differ() == ""
    edit(folder, '"to": 2022}', '"to": 2023}')
    assert "are not those that filled this database" in differ()
    assert main(["dataset", "import", str(folder)]) == 0
    assert f"has gone on from event {HEAD}" in differ()
    assert main(["dataset", "export", str(folder)]) == 0
    assert differ() == ""
    assert main(["dataset", "export", str(folder.parent / "elsewhere")]) == 0
    assert differ() == ""


def test_an_export_that_cannot_be_written_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "file").write_text("in the way", "utf-8")
    assert main(["dataset", "export", str(tmp_path / "file")]) == 1
    assert "is not complete" in capsys.readouterr().err
    assert (tmp_path / "file").read_text("utf-8") == "in the way"


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_ids_are_new_and_of_their_kind(kind: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["id", kind]) == 0
    assert main(["id", kind, "50"]) == 0
    found = capsys.readouterr().out.split()
    assert len(found) == len(set(found)) == 51
    assert all(is_id(kind, one) for one in found)


@pytest.mark.parametrize(
    "arguments", [["id"], ["id", "make"], ["id", "claim", "0"], ["id", "claim", "10001"], ["id", "claim", "²"],
                  ["dataset"], ["dataset", "import"], ["dataset", "mend", "x"]],
)  # fmt: skip
def test_wrong_usage_is_exit_code_2(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stopped:
        main(arguments)
    assert stopped.value.code == 2
    assert "usage:" in capsys.readouterr().err
