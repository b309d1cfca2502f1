"""The time, in one place."""

from __future__ import annotations

import datetime


class SystemClock:
    """The machine's clock, in UTC."""

    def now(self) -> str:
        """Return the instant as ``YYYY-MM-DDTHH:MM:SS.ffffffZ``."""
        return datetime.datetime.now(datetime.UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")

    def today(self) -> str:
        """Return the date as ``YYYY-MM-DD``."""
        return self.now()[:10]
