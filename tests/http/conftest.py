"""The application over both databases."""

from __future__ import annotations

import pathlib

import pytest

from boltspan.services.protocols import Storage
from tests.http.world import Site, fill
from tests.services.conftest import StandingClock


@pytest.fixture
def site(storage: Storage, tmp_path: pathlib.Path) -> Site:
    """Return the application over a filled storage."""
    clock = StandingClock()
    return Site(storage, clock, fill(storage, clock), tmp_path / "data")
