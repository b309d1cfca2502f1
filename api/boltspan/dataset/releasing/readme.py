"""README.txt of a release: what each file is, what the words mean, what to mind."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping
from typing import Final

from boltspan.dataset.releasing.changes import CHANGES_FILE
from boltspan.dataset.releasing.datapackage import DATAPACKAGE_FILE
from boltspan.dataset.releasing.files import CHECKSUMS_FILE, MANIFEST_FILE
from boltspan.dataset.releasing.head import INVENTED, ReleaseHead
from boltspan.dataset.releasing.lines import ANSWERS_FILE, FRAMES_FILE, SHOCK_ANSWERS_FILE, SHOCKS_FILE
from boltspan.dataset.releasing.tables import TABLES
from boltspan.domain.cautions import CAUTIONS
from boltspan.domain.vocabulary import ADVICE, MOUNTS, STANDINGS, SUPPLY

README_FILE: Final = "README.txt"
LICENCE_FILE: Final = "LICENSE"
_FILES: Final = {
    **{t.file: f"{t.title}." for t in TABLES},
    FRAMES_FILE: "Frames in full: every claim with its source, every decision. A line keeps the schema frame/1.",
    SHOCKS_FILE: "Shocks in full, likewise. A line keeps the schema shock/1.",
    ANSWERS_FILE: "What the service answers for each frame, byte for byte, one a line, sorted by id.",
    SHOCK_ANSWERS_FILE: "What the service answers for each shock, one a line, sorted by id.",
    CHANGES_FILE: "What answers otherwise than in the release before.",
    DATAPACKAGE_FILE: "Columns, types, keys and limits of the tables (Data Package, version 2).",
    MANIFEST_FILE: "Number, event, date and files of the release.",
    CHECKSUMS_FILE: "Check the files with: sha256sum --check SHA256SUMS",
    LICENCE_FILE: "The licence of the data.",
}
_SIZES: Final = (
    "Sizes are millimetres, exact to the last digit written. Many programs that open CSV turn them into binary "
    "fractions; read them as decimals. Widths within 0.03 mm are one size: 22.2 and 22.225 are both 7/8 in.",
    "An empty cell means: not stated, or not answered. It never means zero, and never no.",
    "The CSV files hold no free text. What sources literally said stands in frames.jsonl. Rows of claims.csv are the "
    "claims that count; frames.jsonl also has those that were refused or taken back. Claims that wait for a review are "
    "in neither, unless a decision names one, though an answer may rest on them: answers.jsonl then names and counts "
    "claims that no other file holds.",
    "A size is given where the standing is settled or provisional. Ask again for a model year after evidence_to.",
)


def readme(head: ReleaseHead) -> str:
    """Return the text of README.txt."""
    before = f"CHANGES.json compares it with release {head.previous}." if head.previous else "It is the first release."
    parts = [
        head.title,
        f"Release {head.version} of {head.built_on}, at event {head.event}. {before}",
        *([INVENTED] if head.demo else []),
        "BEFORE YOU FIT ANYTHING",
        *CAUTIONS.values(),
        "FILES",
        _listed(_FILES),
        "SIZES AND CELLS",
        *_SIZES,
        "STANDING",
        _listed(STANDINGS),
        "ADVICE",
        _listed(ADVICE),
        "MOUNT",
        _listed(MOUNTS),
        "SUPPLY",
        _listed(SUPPLY),
        f"Licence of the data: {head.licence} (see {LICENCE_FILE}).",
    ]
    return "\n\n".join(part if "\n" in part else textwrap.fill(part, 100) for part in parts) + "\n"


def _listed(texts: Mapping[str, str]) -> str:
    wide = max(map(len, texts)) + 4
    return "\n".join(
        textwrap.fill(text, 100, initial_indent=f"  {name}".ljust(wide), subsequent_indent=" " * wide)
        for name, text in texts.items()
    )
