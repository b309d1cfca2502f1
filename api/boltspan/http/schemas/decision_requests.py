"""What is sent to rule on a case, to ask a contributor, and to answer."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

import marshmallow as ma

from boltspan.domain.ruling_reasons import REFUSAL_REASONS
from boltspan.http.schemas.fields import Choice, Closed, Id, Text, Union, by_word
from boltspan.http.schemas.settled_values import settled_value
from boltspan.http.schemas.statements import claim_ids, why_field


class Settle(Closed):
    """The value is decided. It says all that is needed to fetch the part."""

    ruling = Choice(["settle"], required=True)
    value = settled_value(required=True)
    rests_on = claim_ids(required=True, metadata={"description": "Claims that allow the value."})
    overrules = claim_ids(metadata={"description": "Claims that were seen and not followed."})
    why = why_field()


class LeaveOpen(Closed):
    """Looked at; the evidence does not decide it."""

    ruling = Choice(["leave_open"], required=True)
    why = why_field()


class RefuseClaims(Closed):
    """Claims that are evidence no more."""

    ruling = Choice(["refuse_claims"], required=True)
    refuses = claim_ids(required=True)
    reason = Choice(REFUSAL_REASONS, required=True, metadata={"description": "Their texts are in /v1/vocabulary."})
    why = why_field()


class Withhold(Closed):
    """The subject is put on hold."""

    ruling = Choice(["withhold"], required=True)
    why = why_field()


class Reverse(Closed):
    """An earlier decision is undone."""

    ruling = Choice(["reverse"], required=True)
    reverses = Id("decision", required=True)
    why = why_field()


RULINGS: Final[dict[str, type[ma.Schema]]] = {
    "settle": Settle,
    "leave_open": LeaveOpen,
    "refuse_claims": RefuseClaims,
    "withhold": Withhold,
    "reverse": Reverse,
}


class NewDecision(Union):
    """A ruling with its reason."""

    choose = staticmethod(by_word("ruling", RULINGS))
    schemas = tuple(RULINGS.values())


class NewQuestion(Closed):
    """What the contributor of a claim is asked."""

    question = Text(most=500, required=True)


class NewAnswer(Closed):
    """The answer: words, a newer own claim, or both."""

    class Meta(Closed.Meta):
        also: Mapping[str, Any] = {"minProperties": 1}

    answer = Text(most=500)
    claim = Id("claim")
