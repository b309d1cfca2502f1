"""Pages for people: a look-up for the counter, the API's reference, the kinds of problems. No scripts."""

from __future__ import annotations

from boltspan.web.pages import pages

__all__ = ["pages"]
