"""Folders: what is written, what is left alone, what a fault leaves behind."""

from __future__ import annotations

import os
import stat
from dataclasses import replace
from pathlib import Path

import pytest

from boltspan.dataset import files, locate
from boltspan.dataset.contents import FrameEntry
from boltspan.dataset.documents import documents_in
from boltspan.dataset.files import check_folder, format_folder, new_dataset, read_dataset, write_dataset
from boltspan.dataset.layout import HEADER
from boltspan.dataset.problems import DatasetBroken
from boltspan.domain.errors import Clash, InvalidInput
from boltspan.domain.frames import Model
from tests.dataset.sample import FRAMES, MAKE, entry, sound
from tests.domain.builders import frame


def everything(root: Path) -> dict[str, bytes]:
    """Return every file below ``root``, hidden and unfinished ones too."""
    return {p.relative_to(root).as_posix(): p.read_bytes() for p in root.rglob("*") if p.is_file()}


def test_a_new_folder_gets_one_file_a_make_and_one_a_model_and_dataset_json_last(tmp_path: Path) -> None:
    assert write_dataset(sound(), tmp_path / "deep" / "er") == [MAKE, FRAMES, HEADER]
    assert set(everything(tmp_path / "deep" / "er")) == {MAKE, FRAMES, HEADER}
    assert read_dataset(tmp_path / "deep" / "er") == sound()


def test_files_that_are_right_are_not_touched(tmp_path: Path) -> None:
    write_dataset(sound(), tmp_path)
    before = {p: p.stat().st_mtime_ns for p in tmp_path.rglob("*.json")}
    assert write_dataset(sound(), tmp_path) == []
    assert {p: p.stat().st_mtime_ns for p in tmp_path.rglob("*.json")} == before
    assert write_dataset(replace(sound(), head=11), tmp_path) == [HEADER]


def test_files_of_others_are_left_alone(tmp_path: Path) -> None:
    others = {"README.md": b"mine", "LICENSE": b"mine", "frames/notes.txt": b"mine", "frames/tarnvale/old.json": b"{",
              "photos/a.json": b"mine", "makes/nobody.json": b"[]"}  # fmt: skip
    for path, content in others.items():
        (tmp_path / path).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / path).write_bytes(content)
    write_dataset(sound(), tmp_path)
    assert others.items() <= everything(tmp_path).items()


def test_a_file_whose_frames_stand_elsewhere_now_is_removed(tmp_path: Path) -> None:
    write_dataset(sound(), tmp_path)
    renamed = replace(
        sound(),
        models=(Model("tarnvale", "skerry-150", "Skerry 150"),),
        entries=tuple(replace(e, frame=replace(e.frame, model="skerry-150")) for e in sound().entries),
    )
    assert write_dataset(renamed, tmp_path) == ["frames/tarnvale/skerry-150.json", FRAMES]
    assert FRAMES not in everything(tmp_path)
    assert check_folder(tmp_path).problems == ()
    assert read_dataset(tmp_path) == renamed


def test_a_file_with_a_frame_that_stands_nowhere_else_stays(tmp_path: Path) -> None:
    write_dataset(sound(), tmp_path)
    less = replace(
        sound(),
        models=(Model("tarnvale", "skerry-150", "Skerry 150"),),
        entries=(FrameEntry(replace(frame(1), model="skerry-150")),),
    )
    before = everything(tmp_path)[FRAMES]
    write_dataset(less, tmp_path)
    assert everything(tmp_path)[FRAMES] == before
    assert {p.code for p in check_folder(tmp_path).problems} == {"id_twice"}


@pytest.mark.parametrize("fails", ["write", "fsync", "replace"])
def test_a_fault_while_writing_leaves_the_old_files_whole_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fails: str
) -> None:
    """A full disk, as far as one process can pretend it: the error comes from the call that would meet it."""
    write_dataset(sound(), tmp_path)
    before = everything(tmp_path)
    other = replace(sound(), title="Another title", entries=(replace(entry(), claims=(), decisions=()),))

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        if fails == "fsync":
            patch.setattr(os, "fsync", full)
        elif fails == "replace":
            patch.setattr(Path, "replace", full)
        else:
            patch.setattr(Path, "open", full)
        with pytest.raises(OSError, match="No space"):
            write_dataset(other, tmp_path)
    assert everything(tmp_path) == before
    write_dataset(other, tmp_path)
    assert read_dataset(tmp_path) == other


def test_a_kill_between_two_files_is_mended_by_writing_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    class Killed(BaseException):
        pass

    write_dataset(sound(), tmp_path)
    other = replace(sound(), head=99, makes=tuple(replace(m, aliases=()) for m in sound().makes))
    real = files._replace
    written: list[Path] = []

    def put(file: Path, content: bytes) -> None:
        if written:
            raise Killed
        written.append(file)
        real(file, content)

    with monkeypatch.context() as patch:
        patch.setattr(files, "_replace", put)
        with pytest.raises(Killed):
            write_dataset(other, tmp_path)
    assert read_dataset(tmp_path).head == sound().head, "the files still say they are of the old event"
    assert write_dataset(other, tmp_path) == [HEADER]
    assert read_dataset(tmp_path) == other


def test_written_files_may_be_read_by_others(tmp_path: Path) -> None:
    old = os.umask(0o022)
    try:
        write_dataset(sound(), tmp_path)
    finally:
        os.umask(old)
    assert {stat.S_IMODE(p.stat().st_mode) for p in tmp_path.rglob("*.json")} == {0o644}


def test_a_broken_folder_raises_with_every_problem(tmp_path: Path) -> None:
    write_dataset(sound(), tmp_path)
    (tmp_path / HEADER).write_text('{"schema": "dataset/1"}\n')
    (tmp_path / MAKE).unlink()
    with pytest.raises(DatasetBroken) as broken:
        read_dataset(tmp_path)
    assert broken.value.root == tmp_path
    assert {(p.path, p.code) for p in broken.value.problems} == {(HEADER, "schema"), (FRAMES, "make")}
    assert len([p for p in broken.value.problems if p.path == HEADER]) == 4
    assert all(p.text() in str(broken.value) for p in broken.value.problems)


def test_no_folder_is_no_dataset(tmp_path: Path) -> None:
    with pytest.raises(DatasetBroken) as broken:
        read_dataset(tmp_path / "nowhere")
    assert [p.code for p in broken.value.problems] == ["dataset_file"]


def test_files_laid_out_otherwise_are_read_and_can_be_put_in_order(tmp_path: Path) -> None:
    write_dataset(sound(), tmp_path)
    neat = everything(tmp_path)
    (tmp_path / FRAMES).write_bytes(neat[FRAMES].replace(b"\n", b"").replace(b"  ", b""))
    assert {p.code for p in check_folder(tmp_path).problems} == {"format"}
    assert read_dataset(tmp_path) == sound()
    assert format_folder(tmp_path) == [FRAMES]
    assert everything(tmp_path) == neat
    assert format_folder(tmp_path) == []


def test_putting_in_order_leaves_alone_what_it_cannot_read(tmp_path: Path) -> None:
    write_dataset(sound(), tmp_path)
    broken = {FRAMES: b'{"frames": [', MAKE: b'{"slug": null}', "makes/deep/er.json": b"{ }"}
    for path, content in broken.items():
        (tmp_path / path).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / path).write_bytes(content)
    assert format_folder(tmp_path) == []
    assert broken.items() <= everything(tmp_path).items()


def test_a_new_dataset_is_real_empty_and_in_order(tmp_path: Path) -> None:
    new_dataset(tmp_path / "mine", "Frames of the county")
    assert check_folder(tmp_path / "mine").problems == ()
    found = read_dataset(tmp_path / "mine")
    assert (found.title, found.licence, found.demo, found.head, found.records) == (
        "Frames of the county", "CC0-1.0", False, 0, 0,
    )  # fmt: skip
    with pytest.raises(Clash):
        new_dataset(tmp_path / "mine", "Again")
    with pytest.raises(InvalidInput):
        new_dataset(tmp_path / "other", " ")
    assert not (tmp_path / "other").exists()


def test_the_shipped_folders_are_found_from_the_package_itself(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert (locate.dataset_folder() / HEADER).is_file()
    assert (locate.schema_folder() / "frame-1.json").is_file()
    monkeypatch.setattr(locate, "_PACKAGE", tmp_path / "api" / "boltspan")
    with pytest.raises(FileNotFoundError, match="dataset"):
        locate.dataset_folder()
    (tmp_path / "dataset").mkdir()
    assert locate.dataset_folder() == tmp_path / "dataset"
    (tmp_path / "api" / "boltspan" / "_data" / "dataset").mkdir(parents=True)
    assert locate.dataset_folder() == tmp_path / "api" / "boltspan" / "_data" / "dataset"


def test_hidden_and_foreign_json_is_not_the_datasets(tmp_path: Path) -> None:
    write_dataset(sound(), tmp_path)
    (tmp_path / "package.json").write_text("{")
    (tmp_path / "frames" / "tarnvale" / f".{Path(FRAMES).name}.part").write_text("{")
    assert [d.path for d in documents_in(tmp_path)] == [HEADER, FRAMES, MAKE]
