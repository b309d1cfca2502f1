"""What the documents say, taken apart: fenced blocks, table rows, links, commands."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
_FENCE = re.compile(r"^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
_LINK = re.compile(r"\[[^\]]*\]\(([^)\s]+)\)")
_COMMAND = re.compile(r"\bboltspan((?: [a-z][a-z-]*)+)")


@dataclass(frozen=True, slots=True)
class Block:
    """A fenced block: its language ("" when none is named) and its text."""

    language: str
    text: str


def documents() -> list[Path]:
    """Return every document for people: the two at the top and those of the dataset and the schemas."""
    return [
        ROOT / "README.md",
        ROOT / "DEVELOPERS.md",
        *sorted([*ROOT.glob("dataset/*.md"), *ROOT.glob("schema/*.md")]),
    ]


def blocks(text: str) -> list[Block]:
    """Return the fenced blocks in their order."""
    return [Block(m[1], m[2]) for m in _FENCE.finditer(text)]


def rows(text: str) -> list[list[str]]:
    """Return the cells of every table row, headings and rulers included."""
    return [[c.strip() for c in line.strip("|").split("|")] for line in text.splitlines() if line.startswith("|")]


def links(text: str) -> list[str]:
    """Return the targets of all links outside fenced blocks."""
    return _LINK.findall(_FENCE.sub("", text))


def anchors(text: str) -> set[str]:
    """Return the anchors of the headings, as readers of Markdown commonly make them (common practice, no source)."""
    headings = re.findall(r"^#+ (.+)$", _FENCE.sub("", text), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", h.lower()).replace(" ", "-") for h in headings}


def commands(text: str) -> Iterator[list[str]]:
    """Yield the words of every command line of ours in code: the sub-commands, without options and values."""
    code = [b.text for b in blocks(text)] + re.findall(r"`([^`\n]+)`", _FENCE.sub("", text))
    for piece in code:
        for found in _COMMAND.finditer(piece):
            yield found[1].split()
