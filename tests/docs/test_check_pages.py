"""Every check of the dataset has its section in dataset/CHECKS.md, with the words of the rule itself."""

from __future__ import annotations

import re

import pytest

from boltspan.dataset import reading
from boltspan.dataset.checks import DOCUMENT_RULES, RECORD_RULES, RULES
from tests.docs.markdown import ROOT

PAGE = (ROOT / "dataset" / "CHECKS.md").read_text("utf-8")
SECTIONS = {m[1]: (m[2], m[3]) for m in re.finditer(r"^## `(\w+)`: (.+)\n\n((?:(?!## ).*\n)+)", PAGE, re.MULTILINE)}
REASONS = {rule.CODE: rule.__doc__ for rule in (*DOCUMENT_RULES, *RECORD_RULES)}


def test_every_check_has_a_section_and_every_section_a_check() -> None:
    assert {code: name for code, (name, _) in SECTIONS.items()} == RULES


@pytest.mark.parametrize("code", RULES)
def test_a_section_says_what_the_rule_says(code: str) -> None:
    if code == reading.CODE:
        assert SECTIONS[code][1].strip()
        return
    assert _words(SECTIONS[code][1]) == _words(REASONS[code] or "")


def _words(text: str) -> str:
    return " ".join(text.split())
