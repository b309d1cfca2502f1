"""Shapes of the published rule and its limits."""

from __future__ import annotations

from typing import Any, Final

from marshmallow import fields

from boltspan.domain.contributors import LIMIT_RANGES, LIMIT_TEXTS, Limits
from boltspan.http.schemas.answers import listed, text, whole
from boltspan.http.schemas.fields import Choice, Closed, Open, Whole
from boltspan.http.schemas.statements import why_field


class NewLimit(Closed):
    """One limit, what it is to be, and why. What each may be stands in /v1/rule."""

    name = Choice(LIMIT_TEXTS, required=True)
    number = Whole(least=1, most=max(most for _, most in LIMIT_RANGES.values()), required=True)
    why = why_field()


class RuleLimit(Open):
    """One limit: what it is, what it usually is, and what it may be."""

    name = Choice(LIMIT_TEXTS, required=True)
    number = whole()
    usual = whole()
    least = whole()
    most = whole()
    text = text()


class PublishedRule(Open):
    """The rule that settles values by itself, by the name that stands under its decisions."""

    rule = text()
    limits = listed(fields.Nested(RuleLimit))


_LIMITS: Final[list[dict[str, Any]]] = [
    {"name": name, "number": getattr(Limits(), name), "usual": getattr(Limits(), name), "least": LIMIT_RANGES[name][0],
     "most": LIMIT_RANGES[name][1], "text": told}
    for name, told in LIMIT_TEXTS.items()
]  # fmt: skip
RULE: Final = {"rule": "rule/1", "limits": _LIMITS}
NEW_LIMIT: Final = {"name": "batch", "number": 30, "why": "our makers' tables are longer"}
