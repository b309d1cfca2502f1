"""DEVELOPERS.md shows the table of layers as the tests hold it."""

from __future__ import annotations

import re

from tests.docs.markdown import ROOT, rows
from tests.import_arrows import LAYERS


def test_the_table_shown_is_the_table_held() -> None:
    shown = {}
    for name, inside, *outside in rows((ROOT / "DEVELOPERS.md").read_text("utf-8")):
        if outside and (layer := name.strip("`")) in LAYERS:
            parts = None if inside == "everybody" else set(re.findall(r"`([\w.]+)`", inside))
            shown[layer] = (parts, set() if outside[0].startswith("nothing") else set(outside[0].split(", ")))
    held = {n: (None if la.inside is None else set(la.inside), set(la.outside)) for n, la in LAYERS.items() if n}
    assert shown == held
