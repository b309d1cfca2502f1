"""The shared vectors: each case holds its own hand arithmetic in ``work``."""

from __future__ import annotations

from typing import Any

import pytest

from boltspan.domain.readings import ReadingRequest, interpret_readings
from tests.domain.bench_vectors import run, vectors


@pytest.mark.parametrize("vector", vectors("readings"))
def test_readings(vector: Any) -> None:
    run(vector, ReadingRequest, interpret_readings)
