"""The shared vectors: each case holds its own hand arithmetic in ``work``."""

from __future__ import annotations

from typing import Any

import pytest

from boltspan.domain.bores import BoreFitRequest, fit_bore
from boltspan.domain.offsets import OffsetSleeveRequest, offset_sleeves
from boltspan.domain.presstools import PressToolRequest, choose_press_tools
from boltspan.domain.readings import ReadingRequest, interpret_readings
from boltspan.domain.sizes import SizeChoiceRequest, choose_size
from boltspan.domain.stack import StackRequest, stack_up
from boltspan.domain.swaps import ShockSwapRequest, swap_shock
from tests.domain.bench_vectors import run, vectors


@pytest.mark.parametrize("vector", vectors("readings"))
def test_readings(vector: Any) -> None:
    run(vector, ReadingRequest, interpret_readings)


@pytest.mark.parametrize("vector", vectors("stacks"))
def test_stacks(vector: Any) -> None:
    run(vector, StackRequest, stack_up)


@pytest.mark.parametrize("vector", vectors("size-choices"))
def test_size_choices(vector: Any) -> None:
    run(vector, SizeChoiceRequest, choose_size)


@pytest.mark.parametrize("vector", vectors("bore-fits"))
def test_bore_fits(vector: Any) -> None:
    run(vector, BoreFitRequest, fit_bore)


@pytest.mark.parametrize("vector", vectors("press-tools"))
def test_press_tools(vector: Any) -> None:
    run(vector, PressToolRequest, choose_press_tools)


@pytest.mark.parametrize("vector", vectors("shock-swaps"))
def test_shock_swaps(vector: Any) -> None:
    run(vector, ShockSwapRequest, swap_shock)


@pytest.mark.parametrize("vector", vectors("offset-sleeves"))
def test_offset_sleeves(vector: Any) -> None:
    run(vector, OffsetSleeveRequest, offset_sleeves)
