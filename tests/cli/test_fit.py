"""boltspan fit, as somebody at the counter uses it, on the shipped records."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from boltspan.cli import main

TWO_MOUNTS, TWO_ENDS = "f-k6qgkaf744", "f-czuemawnat"
SKERRY, DISPUTED = "f-7k3m9q2dxw", "f-0v8d1p7ba0"
EYELETS = ("--eye-to-eye-mm", "210", "--stroke-mm", "55", "--both", "eyelet", "bore=15", "width=12.7", "outer=24")


@pytest.fixture(scope="module", autouse=True)
def data(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A data folder, filled from the shipped dataset when it is first used."""
    folder = tmp_path_factory.mktemp("data")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("boltspan.cli.GROUPS", ("fit",))
        patch.setenv("BOLTSPAN_DATA", str(folder))
        yield folder


def test_a_sheet_to_read(capsys: pytest.CaptureFixture[str]) -> None:
    """21.8 is 0.4 under 22.2; spacers (21.8 - 12.7) / 2 = 4.55; 24 is too wide. The lower end is not known."""
    assert main(["fit", "--frame", SKERRY, *EYELETS, "--at-hand", "M8 x 21.8", "M8 x 24", "8 x 15"]) == 0
    out = capsys.readouterr().out
    assert out.startswith("Invented records")
    lines = [line.split() for line in out.splitlines()]
    assert ["upper", "buy", "M8", "x", "22.2", "sell", "settled"] in lines
    assert ["lower", "not_known", "-", "do_not_sell", "unknown"] in lines
    assert any(line[:4] == ["take", "M8", "x", "21.8"] for line in lines)
    assert any(line[:4] == ["NEVER", "M8", "x", "24"] for line in lines)
    assert ["2", "spacer", "-", "12.7", "4.55", "-"] in lines
    assert "'8 x 15' was not read (width_or_bore_unclear)" in out
    assert "Beware: The shock holds pressure or spring force." in out
    assert "From event" in out


def test_the_same_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    words = [
        "--old",
        "upper",
        "sound",
        "bolt=8",
        "width=22.2",
        "bore=15",
        "--old",
        "lower",
        "stays",
        "bolt=8",
        "width=30",
    ]
    assert main(["fit", "--make", "Tarnvale", "--model", "Skerry", "--year", "2022", *EYELETS, *words, "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["sheets"][0]["frame"]["id"] == SKERRY
    assert answer["sheets"][0]["ways"][0]["ends"]["upper"]["verdict"] == "move"


def test_ends_that_differ_are_shown_both_ways(capsys: pytest.CaptureFixture[str]) -> None:
    ends = ("--body", "trunnion", "--shaft", "eyelet", "bore=15")
    assert main(["fit", "--frame", SKERRY, "--eye-to-eye-mm", "210", "--stroke-mm", "55", *ends]) == 0
    out = capsys.readouterr().out
    assert "With the shock's body at the upper end (does not go in):" in out
    assert "With the shock's shaft at the upper end:" in out
    assert "Ask: Which end of the shock is at the frame's upper end, the body or the shaft? Only with the shaft" in out


def test_a_request_on_standard_input_and_the_same_shock(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    readings = {"upper": {"instrument": {"kind": "digital_caliper"}, "features": {"width": "tab_gap"},
                          "readings_mm": {"width": [21.9]}}}  # fmt: skip
    asked = {"frame": SKERRY, "readings": readings}
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(json.dumps(asked).encode())))
    assert main(["fit", "-", "--same-shock", *EYELETS, "--old", "upper", "worn", "bolt=8", "width=22.2"]) == 0
    out = capsys.readouterr().out
    assert "The chart says 22.2. Trust the reading" in out
    assert "The old hardware is worn." in out


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ('{"frame": ', "the request is not JSON"),
        ('{"frame": "f-7k3m9q2dxw", "max_undersize_mm": NaN}', "the request is not JSON: NaN is not JSON"),
        ('{"frame": "f-7k3m9q2dxw", "old_hardware": {"upper": {"bolt_mm": 8, "width_mm": 22.2, "worn": false, '
         '"sleeve_length_mm": 30}}}', "old_hardware/upper/sleeve_length_mm: the sleeve is longer than the hardware's"),
        ('{"frame": "f-7k3m9q2dxw", "old_hardware": {"upper": {"bolt_mm": 8, "width_mm": 22.2, "worn": false, '
         '"bushing_outer_mm": 12, "bushing_inner_mm": 13}}}', "the bushing's outside is no larger than its inside"),
        ('{"frame": "f-7k3m9q2dxw", "new_shock": {"stroke_mm": "55 mm"}}', "new_shock/stroke_mm: a JSON number"),
    ],
)  # fmt: skip
def test_a_request_that_cannot_be_is_refused(
    asked: str, said: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(asked.encode())))
    assert main(["fit", "-"]) == 1
    out, err = capsys.readouterr()
    assert out == ""
    assert said in err


def test_an_end_in_dispute_is_marked(capsys: pytest.CaptureFixture[str]) -> None:
    """The demo has a frame whose sources on the front end contradict each other."""
    assert main(["fit", "--frame", DISPUTED, *EYELETS]) == 0
    out = capsys.readouterr().out
    assert any(line.split()[:2] == ["front", "disputed"] for line in out.splitlines())
    assert "front: Sources or readings contradict each other. Buy nothing for this end" in out
    assert "The sources on this end contradict each other and nobody has decided yet." in out


def test_what_the_sources_contradict_each_other_about_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    """Two mounts of one bolt and width: the sheet names both, and chooses neither."""
    assert main(["fit", "--frame", TWO_MOUNTS, *EYELETS]) == 0
    out = capsys.readouterr().out
    assert "  In dispute: bearing M8 x 30; M8 x 30. None of them is settled." in out


def test_the_order_of_work_is_told_once_for_both_ends(capsys: pytest.CaptureFixture[str]) -> None:
    """One end moves its hardware, the other gets new: the shock comes out once and goes in once."""
    old = ("--old", "upper", "sound", "bolt=10", "width=20", "bore=15", "eyelet=12.7")
    eyelets = ("--eye-to-eye-mm", "250", "--stroke-mm", "70", *EYELETS[4:])
    assert main(["fit", "--frame", TWO_ENDS, *eyelets, *old]) == 0
    lines = capsys.readouterr().out.splitlines()
    for told in ("lift the shock out", "put the shock between the tabs", "Set the pressure"):
        assert len([line for line in lines if told in line]) == 1, told
    pull, put = (next(i for i, line in enumerate(lines) if told in line)
                 for told in ("upper end: Pull the spacers off", "put the shock between the tabs"))  # fmt: skip
    assert pull < put
    assert any(line.startswith("  Confidence of the chart: 0.99") for line in lines)
    assert any(line.startswith("  Sources: ") for line in lines)


def test_no_work_is_told_for_a_way_in_which_the_shock_does_not_go(capsys: pytest.CaptureFixture[str]) -> None:
    eyelets = ("--eye-to-eye-mm", "250", "--stroke-mm", "70", "--both", "eyelet", "bore=15", "width=25")
    assert main(["fit", "--frame", TWO_ENDS, *eyelets]) == 0
    out = capsys.readouterr().out
    assert "The shock's eyelet is wider than the room between the tabs." in out
    assert "buy and fit" in out
    assert "Fitting:" not in out


def test_what_is_not_known_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["fit", "--make", "tarnvale", "--model", "skerry", "--year", "1990"]) == 0
    assert "No frame of this name and year is known." in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--frame", "f-zzzzzzzzzz"), "frame: there is no frame of this id"),
        (("--frame", SKERRY, "--both", "eyelet", "bore=15mm"), "new_shock/both/eyelet_bore_mm: a JSON number"),
        (("--frame", SKERRY, "--old", "upper", "bolt=8"), "old_hardware/upper: how is the old hardware?"),
        (("--frame", SKERRY, "--old", "upper", "worn"), "old_hardware/upper/bolt_mm: this field is needed"),
        (("--frame", SKERRY, "--stroke-mm", "300"), "new_shock/stroke_mm: no such part has this size"),
        (("--year", "2022"), "input: no frame is named"),
        (("--frame", SKERRY, "--make", "tarnvale", "--model", "skerry"), "input: the frame is named in more than one"),
        (
            ("--frame", SKERRY, "--eye-to-eye-mm", "101", "--stroke-mm", "110"),
            "new_shock/stroke_mm: the stroke is as long",
        ),
        (("--frame", SKERRY, "--eye-to-eye-mm", "8.25"), "new_shock/eye_to_eye_mm: no such part has this size"),
        (("--frame", SKERRY, "--stroke-mm", "-55"), "new_shock/stroke_mm: no such part has this size; got '-55'"),
        (
            ("--frame", SKERRY, "--old", "upper", "sound", "bolt=8", "width=22.2", "eyelet=25"),
            "old_hardware/upper/eyelet_width_mm: the eyelet is wider than its hardware; got '25'; accepted: at most",
        ),
        (
            ("--frame", SKERRY, "--old", "front", "worn", "bolt=8", "width=22"),
            "old_hardware/front: the frame has no end",
        ),
        (("--frame", SKERRY, "--both", "eyelet", "bore=nan"), "new_shock/both/eyelet_bore_mm: a JSON number"),
        (("--frame", SKERRY, "--shock", "s-zzzzzzzzzz"), "new_shock/id: there is no shock of this id"),
    ],
)
def test_what_is_refused_names_the_field(words: tuple[str, ...], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["fit", *words]) == 1
    out, err = capsys.readouterr()
    assert out == ""
    assert said in err


def test_output_that_nobody_reads_to_its_end_is_no_error(data: Path) -> None:
    command = [sys.executable, "-c", "import sys; from boltspan.cli import main; sys.exit(main(sys.argv[1:]))"]
    with subprocess.Popen([*command, "fit", "--frame", SKERRY], stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                          env={**os.environ, "BOLTSPAN_DATA": str(data), "PYTHONUNBUFFERED": "1"}) as run:  # fmt: skip
        assert run.stdout is not None
        assert run.stderr is not None
        run.stdout.readline()
        run.stdout.close()
        assert run.stderr.read() == b""
        assert run.wait() == 0
