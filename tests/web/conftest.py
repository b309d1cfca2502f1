"""The application over both databases, as the tests of the HTTP layer have it."""

from __future__ import annotations

from tests.http.conftest import site

__all__ = ["site"]
