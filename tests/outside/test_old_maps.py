"""Zero errors where sources truly copy each other: longitudes on eleven old maps (HistData/OldMaps)."""

from __future__ import annotations

import numpy as np
import pytest

from tests.outside.published import old_maps


def errors(true: np.ndarray, said: np.ndarray) -> np.ndarray:
    return np.abs(said.mean(axis=1) - true)


def test_an_offset_for_each_source_comes_nearer_than_the_plain_mean() -> None:
    """As the zero errors of calipers are learnt from ends whose width is sure, each map's from the other places.

    A report more than a check: no published figure is known, the two are those of the set as it is.
    """
    true, said = old_maps()
    assert said.shape == (39, 11)
    others = np.array([np.delete(said - true[:, None], place, axis=0).mean(axis=0) for place in range(len(true))])
    with_offsets, plain = errors(true, said - others), errors(true, said)
    assert plain.mean() == pytest.approx(0.601, abs=0.001)
    assert with_offsets.mean() == pytest.approx(0.485, abs=0.001)


def test_maps_that_copy_share_what_no_offset_takes_off() -> None:
    """Why claims of one origin must not count as independent: eleven maps are worth far fewer.

    With the offsets gone, the error of their mean is still well over what independent errors of that spread leave.
    """
    true, said = old_maps()
    left = said - true[:, None] - (said - true[:, None]).mean(axis=0)
    independent = left.std(ddof=1) / np.sqrt(said.shape[1])
    assert left.mean(axis=1).std(ddof=1) > 1.5 * independent
