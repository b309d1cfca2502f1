"""boltspan bench, as somebody at a workbench uses it."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path
from typing import Any

import pytest

from boltspan.cli import main
from boltspan.domain import jsontext
from tests.domain.bench_vectors import VECTORS, compare

TESTS = [v for v in jsontext.loads(VECTORS.read_bytes())["tests"] if not v["endpoint"].endswith("/labels")]


@pytest.fixture(autouse=True)
def only_the_bench(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("boltspan.cli.GROUPS", ("bench",))


@pytest.mark.parametrize("vector", TESTS, ids=[v["id"] for v in TESTS])
def test_every_vector_by_standard_input(
    vector: dict[str, Any], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    sent = io.TextIOWrapper(io.BytesIO(jsontext.dumps(vector["request"]).encode()))
    monkeypatch.setattr(sys, "stdin", sent)
    code = main(["bench", vector["endpoint"].rpartition("/")[2], "-", "--json"])
    out, err = capsys.readouterr()
    if vector.get("status", 200) == 422:
        assert (code, out) == (1, "")
        assert err.startswith("boltspan: ")
        return
    assert code == 0
    answer = json.loads(out)
    for name, expected in vector["response_has"].items():
        compare(answer[name], expected, float(vector["tolerance"]), name)


def run(*words: str) -> int:
    return main(["bench", *words])


def test_options_and_a_table(capsys: pytest.CaptureFixture[str]) -> None:
    """(22.2 - 12.7) / 2 = 4.75."""
    assert run("stacks", "--build", "two_spacers", "--width-mm", "22.2", "--eyelet-width-mm", "12.7") == 0
    out = capsys.readouterr().out
    assert "spacer_each_mm  4.75" in out
    assert "beware: Never force hardware between the tabs" in out


def test_options_of_parts_and_lists(capsys: pytest.CaptureFixture[str]) -> None:
    """Same bore, size and state: moved. 12.7 to 14.8 for the push tool: 14.7 goes."""
    side = {"frame": ("mount", "hardware", "bolt-mm", "8", "width-mm", "30"),
            "old-hardware": ("bolt-mm", "8", "width-mm", "30", "eyelet-bore-mm", "15"),
            "new-shock": ("mount", "eyelet", "eyelet-bore-mm", "15")}  # fmt: skip
    words = [word if i % 2 else f"--{name}-{word}" for name, given in side.items() for i, word in enumerate(given)]
    sizes = [f"--{part}-{name}" for part in ("frame", "new-shock") for name in ("eye-to-eye-mm", "stroke-mm")]
    lengths = [word for name in sizes for word in (name, "210" if "eye" in name else "55")]
    assert run("shock-swaps", *words, *lengths, "--no-old-hardware-worn", "--json") == 0
    assert json.loads(capsys.readouterr().out)["action"] == "move"
    tool = ("name=10 mm socket", "outer_mm=14.7", "inner_mm=10.9", "depth_mm=12")
    eyelet = ("--eyelet-bore-mm", "15", "--eyelet-outer-mm", "24", "--part-inner-mm", "12.7", "--part-outer-mm",
              "15.05", "--part-length-mm", "12.7")  # fmt: skip
    assert run("press-tools", *eyelet, "--tools", *tool, "--json") == 0
    assert json.loads(capsys.readouterr().out)["push"] == "10 mm socket"


def test_an_instrument_by_its_kind_has_the_limits_of_its_standard(capsys: pytest.CaptureFixture[str]) -> None:
    """A digital caliper is at most 0.02 off outside (DIN 862, up to 100 mm): 7.86 over the crests is M8."""
    words = ("--readings-mm", "7.86", "--feature", "thread_crest", "--instrument-kind", "digital_caliper")
    assert run("readings", *words) == 0
    assert "choice_mm  8" in capsys.readouterr().out


def test_labels(capsys: pytest.CaptureFixture[str]) -> None:
    assert run("labels", "30 x M8", "--json") == 0
    assert json.loads(capsys.readouterr().out)["canonical"] == "M8 x 30"
    assert run("labels", "30 x M8", "8 x 15") == 1
    assert "width_or_bore_unclear" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("stacks", "--build", "two_spacers", "--width-mm", "10", "--eyelet-width-mm", "12.7"), "width_mm"),
        (("stacks", "--build", "two_spacers"), "width_mm: this field is needed"),
        (("offset-sleeves", "--eye-to-eye-mm", "200", "--ends", "offset_mm"), "name=value is wanted"),
        (("offset-sleeves", "no/such/file"), "no/such/file"),
        (("readings", "--readings-mm", "8", "--feature", "shank", "--instrument-kind", "eye"), "instrument/kind"),
    ],
)
def test_what_is_refused_says_why(words: tuple[str, ...], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(*words) == 1
    out, err = capsys.readouterr()
    assert out == ""
    assert said in err


def test_a_number_with_a_unit_is_not_taken_for_one(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stopped:
        run("stacks", "--width-mm", "22.2mm")
    assert stopped.value.code == 2
    assert "'22.2mm' is no number; give it in the option's unit" in capsys.readouterr().err


def test_a_request_from_a_file_gives_way_to_the_options(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "request.json"
    path.write_text('{"need_mm": 22, "need_is": "nominal", "stock_mm": [21.8]}', "utf-8")
    assert run("size-choices", "--need-mm", "21.8", str(path), "--json") == 0
    assert json.loads(capsys.readouterr().out)["how"] == "same_size"
