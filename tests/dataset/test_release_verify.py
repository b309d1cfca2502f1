"""What a check of a release names: every file that is missing, extra or changed, and lists that do not agree."""

from __future__ import annotations

import hashlib
import json
import shutil
import subprocess
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from boltspan.dataset.contents import FrameEntry
from boltspan.dataset.releasing.verifying import verify_files
from tests.dataset import release_sample as sample
from tests.dataset.release_sample import FILES


@pytest.fixture
def release(tmp_path: Path) -> Path:
    """A release of the sample."""
    folder = tmp_path / "2026.03.1"
    sample.write(folder)
    return folder


def test_sha256sum_reads_the_checksums(release: Path) -> None:
    tool = shutil.which("sha256sum")
    assert tool is not None, "GNU coreutils is needed for this test"

    def run() -> subprocess.CompletedProcess[str]:
        command = [tool, "--check", "--strict", "SHA256SUMS"]
        return subprocess.run(command, cwd=release, capture_output=True, text=True, check=False)

    checked = run()
    assert checked.returncode == 0, checked.stderr
    assert {line.partition(":")[0] for line in checked.stdout.splitlines()} == FILES - {"SHA256SUMS"}
    (release / "ends.csv").write_bytes((release / "ends.csv").read_bytes() + b"x")
    again = run()
    assert again.returncode != 0
    assert "ends.csv: FAILED" in again.stdout


def test_verify_finds_nothing_wrong_in_a_release(release: Path) -> None:
    assert verify_files(release) == []


@pytest.mark.parametrize("name", sorted(FILES))
def test_verify_names_a_flipped_bit_in_any_file(release: Path, name: str) -> None:
    for place in (0, -2):
        raw = bytearray((release / name).read_bytes())
        raw[place] ^= 1
        (release / name).write_bytes(raw)
        assert any(name in told for told in verify_files(release)), place
        raw[place] ^= 1
        (release / name).write_bytes(raw)
    assert verify_files(release) == []


@pytest.mark.parametrize("name", sorted(FILES))
def test_verify_names_a_missing_file(release: Path, name: str) -> None:
    (release / name).unlink()
    assert f"{name}: missing" in verify_files(release)


def _symlink(path: Path) -> None:
    path.symlink_to("ends.csv")


def _in_a_folder(path: Path) -> None:
    path.mkdir()
    (path / "more.csv").write_text("x\n", "utf-8")


@pytest.mark.parametrize(
    ("name", "told", "make"),
    [
        ("more.csv", "more.csv", lambda p: p.write_text("x\n", "utf-8")),
        (".hidden", ".hidden", lambda p: p.write_text("x\n", "utf-8")),
        ("more", "more/more.csv", _in_a_folder),
        ("link.csv", "link.csv", _symlink),
    ],
)
def test_verify_names_an_extra_file(release: Path, name: str, told: str, make: Callable[[Path], Any]) -> None:
    make(release / name)
    assert verify_files(release) == [f"{told}: extra, the release does not list it"]


def test_verify_is_not_fooled_by_a_link_in_place_of_a_file(release: Path, tmp_path: Path) -> None:
    (release / "ends.csv").rename(tmp_path / "ends.csv")
    (release / "ends.csv").symlink_to(tmp_path / "ends.csv")
    assert verify_files(release) == ["ends.csv: not a plain file"]


def test_verify_holds_the_lists_against_each_other(release: Path) -> None:
    sums = (release / "SHA256SUMS").read_text("utf-8").splitlines(keepends=True)
    (release / "SHA256SUMS").write_text("".join(line for line in sums if "  ends.csv" not in line), "utf-8")
    assert verify_files(release) == ["ends.csv: not in SHA256SUMS"]


def rewrite_manifest(release: Path, change: Callable[[dict[str, Any]], object]) -> None:
    """Change the manifest and put its hash right in the checksums."""
    path = release / "release.json"
    manifest = json.loads(path.read_text("utf-8"))
    change(manifest)
    old = hashlib.sha256(path.read_bytes()).hexdigest()
    path.write_text(json.dumps(manifest), "utf-8")
    sums = (release / "SHA256SUMS").read_text("utf-8")
    new = hashlib.sha256(path.read_bytes()).hexdigest()
    (release / "SHA256SUMS").write_text(sums.replace(old, new), "utf-8")


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda m: m.pop("event"), "release.json#/event: the field event is missing"),
        (lambda m: m.update(version="2026.13.1"), "release.json#/version"),
        (lambda m: m.update(version="2026.03.2"), "datapackage.json: its version is '2026.03.1'"),
        (lambda m: m["files"].pop(0), "CHANGES.json: not in release.json"),
        (lambda m: m["files"][0].update(bytes=1), "CHANGES.json: changed"),
        (lambda m: m["files"][3].update(sha256="0" * 64), "answers.jsonl: changed"),
    ],
)
def test_verify_reads_the_manifest(release: Path, change: Callable[[dict[str, Any]], object], told: str) -> None:
    rewrite_manifest(release, change)
    assert any(told in line for line in verify_files(release))


def test_verify_counts_and_reads_the_lines_of_frames(tmp_path: Path) -> None:
    folder = tmp_path / "r"
    entry = sample.entries()[0]
    broken = replace(entry.frame, ends=("upper", "middle"), record="merged", into=("f-0000000002",))
    sample.write(folder, [FrameEntry(broken)])
    assert any(line.startswith("frames.jsonl: line 1: ") and "ends" in line for line in verify_files(folder))

    def one_more(manifest: dict[str, Any]) -> None:
        next(f for f in manifest["files"] if f["path"] == "frames.jsonl")["records"] = 2

    rewrite_manifest(folder, one_more)
    assert "frames.jsonl: 1 lines, the manifest says 2" in verify_files(folder)


@pytest.mark.parametrize("raw", [b"", b"{", b"[]", b"null", b'{"files": 3}', b"\xff", b'{"files": [{"path": "../x"}]}'])
@pytest.mark.parametrize("name", ["release.json", "datapackage.json", "SHA256SUMS"])
def test_verify_answers_for_any_content_of_the_lists(release: Path, name: str, raw: bytes) -> None:
    (release / name).write_bytes(raw)
    assert any(name in told for told in verify_files(release))


def test_verify_of_no_folder(tmp_path: Path) -> None:
    assert verify_files(tmp_path / "none") == [f"{tmp_path / 'none'}: there is no such folder"]
