"""A small sound dataset, as records and as files, for tests to bend."""

from __future__ import annotations

import copy
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import Any

from boltspan.dataset.checks import Checked, check
from boltspan.dataset.contents import Dataset, FrameEntry, ShockEntry
from boltspan.dataset.documents import Document, document
from boltspan.dataset.formatting import file_text
from boltspan.dataset.layout import documents_of, kind_of
from boltspan.domain.frames import Make, Model, Years
from boltspan.domain.hardware_sizes import HardwareSizes
from boltspan.domain.jsontext import loads
from boltspan.domain.shock_values import ShockEnd
from boltspan.domain.shocks import Shock, ShockModel, SoldWith
from tests.domain.builders import SIZE, frame, measured, page, ruling

MAKE = "makes/tarnvale.json"
FRAMES = "frames/tarnvale/skerry.json"


def dataset(*entries: FrameEntry, head: int = 10, demo: bool = True) -> Dataset:
    """Return a dataset of one make and one model with ``entries``."""
    return Dataset(
        "Invented frames for tests",
        "CC0-1.0",
        demo,
        head,
        (Make("tarnvale", "Tarnvale", ("Tarn Vale",)),),
        (Model("tarnvale", "skerry", "Skerry"),),
        entries,
    )


def entry() -> FrameEntry:
    """Return a frame with a page and a caliper at one end, settled."""
    claims = (page(1, SIZE), measured(2, bolt=("sleeve_bore", "8.06"), width=("hardware_width", "22.18 22.19")))
    return FrameEntry(frame(1), claims, (ruling(1, "settle", value=SIZE, rests_on=[1, 2]),))


def sound() -> Dataset:
    """Return a dataset that keeps every rule: the frame of ``entry``, and an earlier one without claims."""
    return dataset(FrameEntry(frame(2, start=2018, end=2020)), entry())


SHOCKS = "shocks/tarnvale/brindle.json"


def with_shock() -> Dataset:
    """Return the sound dataset with a shock of the same make, sold with hardware for the settled frame."""
    sold = SoldWith("f-0000000001", ("upper",), page(8, SIZE).source)
    shock = Shock("s-0000000001", "tarnvale", "brindle", "shock", Years(2021), sold_with=(sold,))
    claim = replace(page(9, SIZE), frame=shock.id, subject="body", value=ShockEnd("eyelet", Decimal(15)))
    return replace(
        sound(),
        shock_models=(ShockModel("tarnvale", "brindle", "Brindle"),),
        shocks=(ShockEntry(shock, (claim,)),),
        hardware=(HardwareSizes("h-0000000001", Decimal(8), (Decimal(20), Decimal(30)), page(7, SIZE).source),),
    )


def files(of: Dataset | None = None) -> dict[str, Any]:
    """Return the content of the files of ``of``, or of the sound dataset, by path: a copy to be bent."""
    return {path: loads(file_text(data, str(kind_of(path)))) for path, data in documents_of(of or sound()).items()}


def documents(content: dict[str, Any]) -> list[Document]:
    """Return files with this content, laid out as they should be."""
    return [document(path, file_text(data, kind_of(path) or "frames")) for path, data in sorted(content.items())]


def bent(bend: Callable[[dict[str, Any]], None], of: Dataset | None = None) -> Checked:
    """Return what the checks say of the sound files, or of those of ``of``, after ``bend``."""
    content = copy.deepcopy(files(of))
    bend(content)
    return check(documents(content))


def settled(content: dict[str, Any]) -> Any:
    """Return the frame of ``entry`` in files; the frame without claims stands before it."""
    return content[FRAMES]["frames"][1]


def upper(content: dict[str, Any]) -> Any:
    """Return the upper end of that frame in files."""
    return settled(content)["subjects"]["upper"]
