"""The calibration report's picture, by matplotlib."""

from __future__ import annotations

import json
from pathlib import Path
from xml.etree import ElementTree

import pytest

from boltspan.cli import main
from tests.worlds import World
from tests.worlds.known_answers import known_answers


@pytest.fixture(scope="module")
def known(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("known") / "set.json"
    file.write_text(json.dumps(known_answers(World(5, 60))), "utf-8")
    return file


def test_the_picture_is_drawn_and_the_same_twice(known: Path, tmp_path: Path) -> None:
    one, two = tmp_path / "one.svg", tmp_path / "two.svg"
    for file in (one, two):
        assert main(["evidence", "report", str(known), "--draws", "20", "--plot", str(file)]) == 0
    assert one.read_bytes() == two.read_bytes()
    text = " ".join(ElementTree.parse(one).getroot().itertext())
    for words in (
        "the evidence model",
        "majority vote",
        "one-coin Dawid-Skene",
        "median width, snapped",
        "claims about",
    ):
        assert words in text


@pytest.mark.parametrize(("name", "begins"), [("a.png", b"\x89PNG"), ("a.PDF", b"%PDF")])
def test_other_kinds_of_picture(known: Path, tmp_path: Path, name: str, begins: bytes) -> None:
    """Without draws there are no error bars to draw."""
    assert main(["evidence", "report", str(known), "--draws", "0", "--plot", str(tmp_path / name)]) == 0
    assert (tmp_path / name).read_bytes().startswith(begins)


def test_a_folder_that_is_not_there(known: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["evidence", "report", str(known), "--draws", "0", "--plot", str(tmp_path / "no" / "a.svg")]) == 1
    assert "No such file" in capsys.readouterr().err
