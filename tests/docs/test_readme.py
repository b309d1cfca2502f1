"""What the documents promise is there: commands, settings, links."""

from __future__ import annotations

import contextlib
import io
import re
import subprocess
from dataclasses import fields
from pathlib import Path

import pytest

from boltspan.cli import main
from boltspan.config import OTHER_VARIABLES, Config
from tests.docs.markdown import ROOT, Block, anchors, blocks, commands, documents, links, rows

README = (ROOT / "README.md").read_text("utf-8")
COMMANDS = [b.text for b in blocks(README) if b.language == "sh"]
SETTINGS = {f.metadata["env"]: f for f in fields(Config)}


def test_the_readme_runs_and_tests_with_two_commands_before_anything_else() -> None:
    first = [b.language for b in blocks(README)][:2]
    assert first == ["sh", "sh"]
    assert len(COMMANDS) == 2
    assert "boltspan serve" in COMMANDS[0]
    assert "pytest" in COMMANDS[1]


@pytest.mark.parametrize("command", COMMANDS, ids=["run", "test"])
def test_a_command_sets_up_everything_itself_from_hashed_locks(command: str) -> None:
    assert command.startswith("python3 -m venv ")
    installs = [line for line in command.splitlines() if "pip install" in line]
    assert any("--require-hashes" in i for i in installs)
    assert all("--require-hashes" in i or ("--no-deps" in i and "--no-build-isolation" in i) for i in installs)
    for lock in re.findall(r"-r (\S+)", command):
        assert (ROOT / lock).is_file()
    assert "/" not in {word[0] for word in command.split()}  # no path of one machine
    subprocess.run(["bash", "-n", "-c", command], check=True)


def test_every_setting_is_documented_with_its_text_and_default() -> None:
    told = {row[0].strip("`"): row[1:] for row in rows(README) if row[0].startswith("`BOLTSPAN_")}
    assert told == {name: [f.metadata["text"], _default(f.default)] for name, f in SETTINGS.items()}


def _default(value: object) -> str:
    shown = {True: "on", False: "off"}[value] if isinstance(value, bool) else str(value)
    return f"`{shown}`" if shown else ""


@pytest.mark.parametrize(
    "path",
    [*documents(), ROOT / "docker-compose.yml", ROOT / "api" / "Dockerfile", ROOT / ".ci" / "run"],
    ids=lambda p: str(p.relative_to(ROOT)),
)
def test_every_variable_named_anywhere_exists(path: Path) -> None:
    named = set(re.findall(r"\bBOLTSPAN_[A-Z_]+\b", path.read_text("utf-8")))
    assert named <= SETTINGS.keys() | OTHER_VARIABLES


@pytest.mark.parametrize("path", documents(), ids=lambda p: str(p.relative_to(ROOT)))
def test_every_link_within_the_project_leads_somewhere(path: Path) -> None:
    text = path.read_text("utf-8")
    for target in links(text):
        if target.startswith(("https://", "http://")):
            continue
        name, _, anchor = target.partition("#")
        other = path.parent / name if name else path
        assert other.exists(), f"{path.name} links to {target}"
        if anchor:
            assert anchor in anchors(other.read_text("utf-8")), f"{path.name} links to {target}"


@pytest.mark.parametrize("path", documents(), ids=lambda p: str(p.relative_to(ROOT)))
def test_every_command_named_in_a_document_exists(path: Path) -> None:
    for words in commands(path.read_text("utf-8")):
        shown = io.StringIO()
        with contextlib.redirect_stdout(shown), contextlib.redirect_stderr(shown), pytest.raises(SystemExit) as ended:
            main([*words, "--help"])
        assert ended.value.code == 0, f"{path.name} names boltspan {' '.join(words)}: {shown.getvalue()}"


def test_the_reader_of_documents_reads_them() -> None:
    text = """# A: b's c
[x](y.md#z)
```sh
[not](a-link) boltspan dataset check DIR
```
Say `boltspan id` now.
|`a`| b |
"""
    assert blocks(text) == [Block("sh", "[not](a-link) boltspan dataset check DIR\n")]
    assert links(text) == ["y.md#z"]
    assert anchors(text) == {"a-bs-c"}
    assert list(commands(text)) == [["dataset", "check"], ["id"]]
    assert rows(text) == [["`a`", "b"]]
