"""The calibration report as a picture. Needs matplotlib, which the extra `plots` brings."""

from __future__ import annotations

import importlib.util
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

KINDS: Final = (".svg", ".png", ".pdf")
_MARKS: Final = ("o-", "s--", "^:", "D-.")
"""Methods differ in mark and line, not in colour alone."""


def refusal(file: Path) -> str | None:
    """Return why nothing can be drawn into ``file``, or None."""
    if file.suffix.lower() not in KINDS:
        return f"--plot: got {file.name!r}; accepted: a name ending in {', '.join(KINDS)}"
    if importlib.util.find_spec("matplotlib") is None:
        return (
            "--plot needs matplotlib, which is not installed: pip install 'boltspan[plots]'; "
            "without --plot the table needs nothing more"
        )
    return None


def draw(report: Mapping[str, Any], names: Mapping[str, str], file: Path) -> None:
    """Draw how often first candidates are right against their probability, and the share right by number of claims.

    ``names`` says what each method is called. The same report gives the same bytes. Raises OSError when ``file``
    cannot be written.
    """
    import matplotlib as mpl
    from matplotlib.figure import Figure

    with mpl.rc_context({"svg.hashsalt": "boltspan", "svg.fonttype": "none"}):
        figure = Figure(figsize=(10, 5), layout="constrained")
        sure, right = figure.subplots(1, 2)
        sure.plot([0, 1], [0, 1], color="0.6", linewidth=1, label="means what it says")
        for (method, name), mark in zip(names.items(), _MARKS, strict=True):
            bins = report["bins"][method]
            sure.plot([b["p"] for b in bins], [b["right"] for b in bins], mark, label=name, markersize=4)
            groups = {group: row["accuracy"] for group, row in report["methods"][method].items() if group != "all"}
            low, high = (
                [abs(row["value"] - row.get(bound, row["value"])) for row in groups.values()]
                for bound in ("low", "high")
            )
            values = [row["value"] for row in groups.values()]
            right.errorbar(list(groups), values, (low, high), fmt=mark, label=name, markersize=4, capsize=2)
        sure.set(xlabel="stated probability of the first candidate", ylabel="share that is right")
        right.set(xlabel="claims about the end", ylabel="share of first candidates that are right")
        sure.legend()
        right.legend()
        figure.suptitle(f"{report['ends']:,} ends, model {report['model_version']}")
        dated = {"CreationDate": None} if file.suffix.lower() == ".pdf" else {"Date": None}
        figure.savefig(file, metadata=None if file.suffix.lower() == ".png" else dated)
