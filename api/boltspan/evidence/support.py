"""Which claims go with which value: what a person would call "these say so"."""

import numpy as np

from boltspan.evidence.claims import HARDWARE_CODE, Booleans
from boltspan.evidence.posterior import Weighed


def supporters(weighed: Weighed) -> Booleans:
    """Which claims go with which state (c x states).

    A claim goes with a state when no other makes its report more than `decision.conflict_ratio` times likelier, taken
    as sound: a caliper goes with the sizes it cannot tell apart, a page with the size it names. How far its contributor
    is trusted has no part in it. A claim that names hardware without a size goes with no size; nothing goes with the
    unlisted state.
    """
    batch, block = weighed.batch, weighed.block
    table, claims, layout = batch.table, block.claims, batch.model.layout
    sound = weighed.ratios - 1.0
    goes: Booleans = sound * batch.model.parameters.decision.conflict_ratio >= sound.max(axis=1, keepdims=True)
    goes &= sound > 0.0
    sizeless = (table.mounts[claims] == HARDWARE_CODE) & np.isnan(table.bolt_mm[claims])
    sizeless &= np.isnan(table.width_mm[claims])
    goes[sizeless] = False
    goes[:, layout.unlisted] = False
    return goes
