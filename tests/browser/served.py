"""The application for the browser tests, as granian loads it: the data folder comes from the environment."""

from __future__ import annotations

import os
from pathlib import Path

from boltspan.http.app import Boltspan, create_app
from boltspan.http.settings import HttpSettings
from boltspan.services.clock import SystemClock
from boltspan.storage import SqlStorage, make_engine
from boltspan.web import pages


def make() -> Boltspan:
    """Return the application over the database that the test has filled."""
    folder = Path(os.environ["BROWSER_TEST_FOLDER"])
    clock = SystemClock()
    storage = SqlStorage(make_engine(f"sqlite:///{folder / 'boltspan.db'}"), clock)
    return create_app(storage, clock, HttpSettings(data=folder, rate_limits=False, log=lambda _: None), pages)
