"""Twins of the JSON Schemas in ``schema/``: what they accept these accept, what they refuse these refuse.

twins.py names them all. They check shape; what neither kind of schema can say is checked by the domain.
"""

# ruff: noqa: ARG002 - the signature of _deserialize is marshmallow\'s

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final

import marshmallow as ma
from marshmallow import fields

from boltspan.domain.frames import END_PAIRS, QUALIFIERS
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
    Whole,
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


class EndClaim(Closed):
    """What one source says about an end. Only a measurement may leave the value out; its readings speak."""

    id = Id("claim", required=True)
    value = end_value()
    years = Part(Years)
    source = kept_source(required=True)
    withdrawn = Part(Withdrawn)

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
_END_DECISIONS: Final[tuple[type[ma.Schema], ...]] = (SettleEndRecord, *RULINGS.values())
_SHOCK_SIZE_DECISIONS: Final[tuple[type[ma.Schema], ...]] = (SettleShockSizeRecord, *RULINGS.values())


class Qualifier(Closed):
    """What tells two frames of one model and year apart, and the question to put to the customer."""

    class Meta(Closed.Meta):
        also: Mapping[str, Any] = {"minProperties": 3}

    kind = Choice(QUALIFIERS, required=True)
    from_ = Text(most=60, data_key="from", attribute="from")
    to = Text(most=60)
    is_ = Text(most=60, data_key="is", attribute="is")
    ask = Text(most=200, required=True, metadata={"description": "The question to put to the customer."})


class EndSubject(Closed):
    """All that is said and decided about one end."""

    claims = Items(Part(EndClaim), required=True)
    decisions = Items(OneOf(_END_DECISIONS, end_decision), least=1)


class ShockSizeSubject(Closed):
    """All that is said and decided about the shock's size."""

    claims = Items(Part(ShockSizeClaim), required=True)
    decisions = Items(OneOf(_SHOCK_SIZE_DECISIONS, shock_size_decision), least=1)


class Ends(fields.Raw):
    """One pair of ends, as the frame's maker names them."""

    def __init__(self, **options: Any) -> None:
        two = {"type": "array", "items": {"type": "string"}, "minItems": 2, "maxItems": 2}
        pairs = [two | {"prefixItems": [{"type": "string", "const": end} for end in pair]} for pair in END_PAIRS]
        super().__init__(metadata={"oneOf": pairs}, **options)

    def _deserialize(self, value: Any, attr: Any, data: Any, **_: Any) -> list[str]:
        if _pair(value) is None:
            accepted = "; ".join(", ".join(p) for p in END_PAIRS)
            raise wrong("bad_ends", "ends are one pair, named as the maker names them", accepted)
        return list(value)


def _pair(ends: Any) -> tuple[str, str] | None:
    return next((p for p in END_PAIRS if isinstance(ends, list) and list(p) == ends), None)


class _ByEnds(fields.Raw):
    """An object whose schema hangs on the frame's ends; any object when the ends are no pair (they are told then)."""

    def __init__(self, schemas: Mapping[tuple[str, str], type[ma.Schema]], **options: Any) -> None:
        self.schemas = schemas
        super().__init__(**options)

    def _deserialize(self, value: Any, attr: Any, data: Any, **_: Any) -> Any:
        if not isinstance(value, Mapping):
            raise wrong("not_an_object", "a JSON object is wanted here", "an object")
        pair = _pair(data.get("ends"))
        return value if pair is None else self.schemas[pair]().load(value)


class _Mapped(fields.Raw):
    """Both names of another pair, each standing for one of the frame's ends."""

    def __init__(self, ends: tuple[str, str]) -> None:
        self.taken = [
            dict(zip(other, turned, strict=True))
            for other in END_PAIRS
            if other != ends
            for turned in (ends, ends[::-1])
        ]
        super().__init__(required=True)

    def _deserialize(self, value: Any, attr: Any, data: Any, **_: Any) -> Any:
        if value not in self.taken:
            raise wrong("bad_ends", "the names are both of another pair, each for one of this frame's ends", None)
        return value


def _subjects(ends: tuple[str, str]) -> type[ma.Schema]:
    parts = {end: Part(EndSubject, required=True) for end in ends}
    return Closed.from_dict({"shock_size": Part(ShockSizeSubject, required=True), **parts}, name=f"SubjectsOf{ends[0]}")


def _same_ends(ends: tuple[str, str]) -> type[ma.Schema]:
    return Closed.from_dict({"names": _Mapped(ends), "source": kept_source(required=True)}, name=f"SameEndsOf{ends[0]}")


class FrameRecord(Closed):
    """A frame that answers for itself."""

    id = Id("frame", required=True)
    record = Choice(["frame"], required=True)
    years = Part(Years, required=True)
    ends = Ends(required=True)
    qualifier = Part(Qualifier)
    same_ends = _ByEnds({p: _same_ends(p) for p in END_PAIRS})
    subjects = _ByEnds({p: _subjects(p) for p in END_PAIRS}, required=True)


class MergedRecord(FrameRecord):
    """A double; the other record answers."""

    record = Choice(["merged"], required=True)
    into = Id("frame", required=True)


class DividedRecord(FrameRecord):
    """A record divided by a running change; its parts answer."""

    record = Choice(["divided"], required=True)
    into = Items(Id("frame"), least=2, unique=True, required=True)


class WithdrawnRecord(FrameRecord):
    """A record that was wrong as a whole."""

    record = Choice(["withdrawn"], required=True)
    withdrawn_on = Day(required=True)
    why = why_field()


_RECORDS: Final[dict[str, type[ma.Schema]]] = {
    "frame": FrameRecord,
    "merged": MergedRecord,
    "divided": DividedRecord,
    "withdrawn": WithdrawnRecord,
}


class ModelRecord(Closed):
    """A model, as sold."""

    name = name_field(required=True)
    slug = slug_field(required=True)
    aliases = Items(name_field(), least=1, unique=True)


class FrameFile(Closed):
    """A model with all its frames."""

    schema = Choice(["frame/1"], required=True)
    make = slug_field(required=True)
    model = Part(ModelRecord, required=True)
    frames = Items(OneOf(tuple(_RECORDS.values()), by_word("record", _RECORDS)), required=True)


class MakeFile(Closed):
    """A frame maker."""

    schema = Choice(["make/1"], required=True)
    slug = slug_field(required=True)
    name = name_field(required=True)
    aliases = Items(name_field(), least=1, unique=True)


class DatasetFile(Closed):
    """The dataset as a whole."""

    schema = Choice(["dataset/1"], required=True)
    title = Text(most=200, required=True)
    licence = Choice(["CC0-1.0"], required=True)
    demo = Flag(required=True)
    head = Whole(required=True)


class ReleaseFile(Closed):
    """One file of a release."""

    path = Text(most=200, shape=r"[A-Za-z0-9_][A-Za-z0-9._-]*(?:/[A-Za-z0-9_][A-Za-z0-9._-]*)*", required=True)
    bytes = Whole(required=True)
    sha256 = Text(most=64, shape="[0-9a-f]{64}", required=True)
    media_type = Text(most=100, shape="[a-z]+/[a-z0-9.+-]+", required=True)
    records = Whole()


class Versions(fields.Dict):
    """The version of each schema, by its name."""

    _NAME = re.compile("[a-z][a-z_]*")
    _VERSION = re.compile(r"(?:0|[1-9][0-9]*)\.(?:0|[1-9][0-9]*)\.(?:0|[1-9][0-9]*)")

    def _deserialize(self, value: Any, attr: Any, data: Any, **_: Any) -> Any:
        if not isinstance(value, Mapping) or not value:
            raise wrong("not_an_object", "schema names with their versions are wanted here", "at least one")
        for key, version in value.items():
            sound = isinstance(version, str) and len(version) <= 32 and self._VERSION.fullmatch(version)
            if not self._NAME.fullmatch(key) or not sound:
                raise wrong("bad_version", "this is no schema's name and version", "such as frame: 1.0.0")
        return value


class ReleaseManifest(Closed):
    """What a release holds and where it stands."""

    schema = Choice(["release/1"], required=True)
    version = Text(
        most=16,
        shape=r"[2-9][0-9]{3}\.(?:0[1-9]|1[0-2])\.(?:0|[1-9][0-9]*)",
        accepted="YYYY.MM.N",
        required=True,
    )
    event = Whole(required=True)
    built_on = Day(required=True)
    demo = Flag(required=True)
    title = Text(most=200, required=True)
    licence = Choice(["CC0-1.0"], required=True)
    schemas = Versions(required=True)
    files = Items(Part(ReleaseFile), least=1, required=True)
