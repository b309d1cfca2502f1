"""Twins of the JSON Schemas of claims and decisions, and the fields that records share (see records.py)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

import marshmallow as ma

from boltspan.domain.ruling_reasons import REFUSAL_REASONS
from boltspan.http.schemas.fields import (
    HIDDEN,
    NEAR,
    NOT_FAR,
    Choice,
    Closed,
    Day,
    Flag,
    Id,
    Items,
    OneOf,
    Part,
    Text,
    by_word,
    wrong,
)
from boltspan.http.schemas.sources import KEPT, FittedRecord, WrittenRecord, kept_source
from boltspan.http.schemas.values import ShockSizeValue, Years, end_value

_NAME: Final = rf"[^\s=+@{HIDDEN}-][^\s{HIDDEN}]*(?: [^\s{HIDDEN}]+)*"
_NAME_SHOWN: Final = rf"{NOT_FAR}[^\s=+@{NEAR}-][^\s{NEAR}]*(?: [^\s{NEAR}]+)*"


def name_field(**options: Any) -> Text:
    """Return the field of a make's or model's name."""
    accepted = "1 to 80 visible characters, words between single blanks, not starting with = + - or @"
    return Text(most=80, shape=_NAME, shown=_NAME_SHOWN, accepted=accepted, **options)


def slug_field(**options: Any) -> Text:
    """Return the field of a slug."""
    return Text(most=60, shape="[a-z0-9]+(?:-[a-z0-9]+)*", accepted="a-z, 0-9 and single hyphens", **options)


def why_field(**options: Any) -> Text:
    """Return the field of a reason."""
    return Text(most=500, required=True, **options)


def claim_ids(**options: Any) -> Items:
    """Return the field of a list of claims, each once."""
    return Items(Id("claim"), least=1, unique=True, **options)


def unmeasured_source() -> OneOf:
    """Return the field of a source that is no measurement."""
    unmeasured = {k: s for k, s in KEPT.items() if k != "measured"}
    return OneOf((WrittenRecord, FittedRecord), by_word("kind", unmeasured), required=True)


class Withdrawn(Closed):
    """When and why a claim was taken back."""

    on = Day(required=True)
    why = why_field()


class Superseded(Closed):
    """When, and to which newer claim of the same person, a claim gave way."""

    on = Day(required=True)
    by = Id("claim", required=True)


class EndClaim(Closed):
    """What one source says about an end. Only a measurement may leave the value out; its readings speak."""

    id = Id("claim", required=True)
    value = end_value()
    years = Part(Years)
    source = kept_source(required=True)
    withdrawn = Part(Withdrawn)
    superseded = Part(Superseded)
    reviewed = Flag(only=False)

    @ma.validates_schema(pass_original=True)
    def _says_something(self, _data: Any, original: Mapping[str, Any], **_: Any) -> None:
        if "value" not in original and original["source"]["kind"] != "measured":
            raise wrong(
                "value_missing", "the claim says nothing", "a value; only a measurement goes without", at="value"
            )


class ShockSizeClaim(Closed):
    """What one source says about the shock. It is read off the shock or a page, never measured at the frame."""

    id = Id("claim", required=True)
    value = Part(ShockSizeValue, required=True)
    years = Part(Years)
    source = unmeasured_source()
    withdrawn = Part(Withdrawn)
    superseded = Part(Superseded)
    reviewed = Flag(only=False)


class _Decision(Closed):
    id = Id("decision", required=True)
    on = Day(required=True)
    by = Text(
        most=12,
        shape="(?:p-[0123456789abcdefghjkmnpqrstuvwxyz]{10}|rule/1)",
        accepted="a person's id, or rule/1",
        required=True,
    )
    why = why_field()


class LeaveOpenRecord(_Decision):
    """Looked at; the evidence does not decide it."""

    ruling = Choice(["leave_open"], required=True)


class WithholdRecord(_Decision):
    """The subject is on hold."""

    ruling = Choice(["withhold"], required=True)


class RefuseClaimsRecord(_Decision):
    """Claims that are evidence no more."""

    ruling = Choice(["refuse_claims"], required=True)
    refuses = claim_ids(required=True)
    reason = Choice(REFUSAL_REASONS)


class ReverseRecord(_Decision):
    """An earlier decision is undone."""

    ruling = Choice(["reverse"], required=True)
    reverses = Id("decision", required=True)


class SettleRecord(_Decision):
    """A subject's value is decided; what it can be is said below."""

    ruling = Choice(["settle"], required=True)
    rests_on = claim_ids(required=True)
    overrules = claim_ids()


class SettleEndRecord(SettleRecord):
    """An end's value is decided."""

    value = end_value(required=True)


class SettleShockSizeRecord(SettleRecord):
    """A shock's size is decided."""

    value = Part(ShockSizeValue, required=True)


RULINGS: Final[dict[str, type[ma.Schema]]] = {
    "leave_open": LeaveOpenRecord,
    "refuse_claims": RefuseClaimsRecord,
    "withhold": WithholdRecord,
    "reverse": ReverseRecord,
}
end_decision: Final = by_word("ruling", {"settle": SettleEndRecord, **RULINGS})
shock_size_decision: Final = by_word("ruling", {"settle": SettleShockSizeRecord, **RULINGS})
END_DECISIONS: Final[tuple[type[ma.Schema], ...]] = (SettleEndRecord, *RULINGS.values())
SHOCK_SIZE_DECISIONS: Final[tuple[type[ma.Schema], ...]] = (SettleShockSizeRecord, *RULINGS.values())
