"""Structured bits of a row as JSON text: written exactly, read back as they were."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

from boltspan.domain.jsontext import dumps

__all__ = ["dumps", "loads"]


def loads(text: str) -> Any:
    """Return the value of a stored JSON text; numbers with a point are Decimal.

    The text is our own, so nothing is checked again: what was once stored must stay readable under later rules.
    """
    return json.loads(text, parse_float=Decimal)
