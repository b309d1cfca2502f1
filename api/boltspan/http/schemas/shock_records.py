"""Twins of the JSON Schemas of shock files and of the file of hardware sizes (see records.py)."""

# ruff: noqa: ARG002 - the signature of _deserialize is marshmallow\'s

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

import marshmallow as ma
from marshmallow import fields

from boltspan.domain.frames import END_PAIRS
from boltspan.domain.hardware_sizes import MOST_WIDTHS, UNFIT_SOURCES
from boltspan.http.schemas.fields import Choice, Closed, Day, Flag, Id, Items, OneOf, Part, by_word, wrong
from boltspan.http.schemas.records import ModelRecord, Qualifier
from boltspan.http.schemas.shock_values import ShockSizesValue, shock_bore, shock_end_value
from boltspan.http.schemas.sources import KEPT, WrittenRecord, eyelet_source, kept_source
from boltspan.http.schemas.statements import (
    RULINGS,
    SettleRecord,
    Superseded,
    Withdrawn,
    slug_field,
    unmeasured_source,
    why_field,
)
from boltspan.http.schemas.values import Years, bolt, width

_ENDS_SOLD: Final = [[end] for pair in END_PAIRS for end in pair] + [list(pair) for pair in END_PAIRS]


class EndsSold(fields.Raw):
    """One end, or both of one pair, as the frame's maker names them."""

    def __init__(self, **options: Any) -> None:
        super().__init__(metadata={"enum": _ENDS_SOLD}, **options)

    def _deserialize(self, value: Any, attr: Any, data: Any, **_: Any) -> list[str]:
        if value not in _ENDS_SOLD:
            accepted = "; ".join(", ".join(ends) for ends in _ENDS_SOLD)
            raise wrong("bad_ends", "the hardware is for one end or both", accepted)
        return list(value)


class SoldWithRecord(Closed):
    """The word of a source that the shock, sold for this frame, has the hardware of these ends in its box."""

    frame = Id("frame", required=True)
    ends = EndsSold(required=True)
    source = kept_source(required=True)


class ShockEndClaim(Closed):
    """What one source says about an end of a shock. Only a measurement of its eyelet may leave the value out."""

    id = Id("claim", required=True)
    value = shock_end_value()
    years = Part(Years)
    source = eyelet_source()
    withdrawn = Part(Withdrawn)
    superseded = Part(Superseded)
    reviewed = Flag(only=False)

    @ma.validates_schema(pass_original=True)
    def _says_something(self, _data: Any, original: Mapping[str, Any], **_: Any) -> None:
        measured = original["source"]["kind"] == "measured"
        if "value" not in original and not measured:
            accepted = "a value; only a measurement goes without"
            raise wrong("value_missing", "the claim says nothing", accepted, at="value")
        if measured and original.get("value", {}).get("mount") == "trunnion":
            accepted = "another mount, or another kind of source"
            raise wrong("no_eyelet_here", "a trunnion has no eyelet to measure", accepted, at="value")


class ShockSizesClaim(Closed):
    """What one source says about the sizes a shock is made in."""

    id = Id("claim", required=True)
    value = Part(ShockSizesValue, required=True)
    years = Part(Years)
    source = unmeasured_source()
    withdrawn = Part(Withdrawn)
    superseded = Part(Superseded)
    reviewed = Flag(only=False)


class SettleShockEndRecord(SettleRecord):
    """The value of a shock's end is decided."""

    value = shock_end_value(required=True)


class SettleShockSizesRecord(SettleRecord):
    """The sizes a shock is made in are decided."""

    value = Part(ShockSizesValue, required=True)


def _decisions(settle: type[ma.Schema]) -> Items:
    by_ruling = {"settle": settle, **RULINGS}
    return Items(OneOf(tuple(by_ruling.values()), by_word("ruling", by_ruling)), least=1)


class ShockEndSubject(Closed):
    """All that is said and decided about one end of a shock."""

    claims = Items(Part(ShockEndClaim), required=True)
    decisions = _decisions(SettleShockEndRecord)


class ShockSizesSubject(Closed):
    """All that is said and decided about the sizes a shock is made in."""

    claims = Items(Part(ShockSizesClaim), required=True)
    decisions = _decisions(SettleShockSizesRecord)


class ShockSubjects(Closed):
    """What claims about a shock can be about."""

    sizes = Part(ShockSizesSubject, required=True)
    body = Part(ShockEndSubject, required=True)
    shaft = Part(ShockEndSubject, required=True)


class ShockRecord(Closed):
    """A shock that answers for itself."""

    id = Id("shock", required=True)
    record = Choice(["shock"], required=True)
    years = Part(Years, required=True)
    qualifier = Part(Qualifier)
    sold_with = Items(Part(SoldWithRecord), least=1)
    subjects = Part(ShockSubjects, required=True)


class MergedShockRecord(ShockRecord):
    """A double; the other record answers."""

    record = Choice(["merged"], required=True)
    into = Id("shock", required=True)


class DividedShockRecord(ShockRecord):
    """A record divided by a running change; its parts answer."""

    record = Choice(["divided"], required=True)
    into = Items(Id("shock"), least=2, unique=True, required=True)


class WithdrawnShockRecord(ShockRecord):
    """A record that was wrong as a whole."""

    record = Choice(["withdrawn"], required=True)
    withdrawn_on = Day(required=True)
    why = why_field()


_RECORDS: Final[dict[str, type[ma.Schema]]] = {
    "shock": ShockRecord,
    "merged": MergedShockRecord,
    "divided": DividedShockRecord,
    "withdrawn": WithdrawnShockRecord,
}


class ShockFile(Closed):
    """A shock model with all its shocks."""

    schema = Choice(["shock/1"], required=True)
    make = slug_field(required=True)
    model = Part(ModelRecord, required=True)
    shocks = Items(OneOf(tuple(_RECORDS.values()), by_word("record", _RECORDS)), required=True)


class HardwareSizesRecord(Closed):
    """What one source says is produced for one bolt."""

    id = Id("hardware", required=True)
    bolt_mm = bolt(required=True)
    eyelet_bore_mm = shock_bore()
    widths_mm = Items(width(), least=1, most=MOST_WIDTHS, unique=True, required=True)
    source = OneOf(
        (WrittenRecord,), by_word("kind", {k: s for k, s in KEPT.items() if k not in UNFIT_SOURCES}), required=True
    )
    withdrawn = Part(Withdrawn)
    superseded = Part(Superseded)
    reviewed = Flag(only=False)


class HardwareFile(Closed):
    """Which widths are produced for which bolt and eyelet bore."""

    schema = Choice(["hardware/1"], required=True)
    sizes = Items(Part(HardwareSizesRecord), required=True)
