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
from boltspan.http.schemas.fields import Choice, Closed, Day, Flag, Id, Items, OneOf, Part, Text, Whole, by_word, wrong
from boltspan.http.schemas.sources import kept_source
from boltspan.http.schemas.statements import (
    END_DECISIONS,
    SHOCK_SIZE_DECISIONS,
    EndClaim,
    ShockSizeClaim,
    end_decision,
    name_field,
    shock_size_decision,
    slug_field,
    why_field,
)
from boltspan.http.schemas.values import Years


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
    decisions = Items(OneOf(END_DECISIONS, end_decision), least=1)


class ShockSizeSubject(Closed):
    """All that is said and decided about the shock's size."""

    claims = Items(Part(ShockSizeClaim), required=True)
    decisions = Items(OneOf(SHOCK_SIZE_DECISIONS, shock_size_decision), least=1)


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
    event_hash = Text(least=64, most=64, shape="[0-9a-f]{64}", accepted="64 hexadecimal digits")
    built_on = Day(required=True)
    demo = Flag(required=True)
    title = Text(most=200, required=True)
    licence = Choice(["CC0-1.0"], required=True)
    schemas = Versions(required=True)
    files = Items(Part(ReleaseFile), least=1, required=True)
