"""What is sent to edit a frame's record."""

# ruff: noqa: ARG002 - the signature of _deserialize is marshmallow\'s

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

import marshmallow as ma
from marshmallow import fields

from boltspan.http.schemas.fields import Choice, Closed, Id, Items, Part, Union, by_word, wrong
from boltspan.http.schemas.records import Qualifier
from boltspan.http.schemas.requests import END_NAMES
from boltspan.http.schemas.sources import sent_source
from boltspan.http.schemas.statements import name_field, why_field
from boltspan.http.schemas.values import Years


class _Edit(Closed):
    why = why_field()


class EditYears(_Edit):
    """Other years."""

    edit = Choice(["years"], required=True)
    years = Part(Years, required=True)


class EditNames(_Edit):
    """Another name of the frame's model, other aliases, or both. The slug stays."""

    class Meta(Closed.Meta):
        also: Mapping[str, Any] = {"anyOf": [{"required": ["name"]}, {"required": ["aliases"]}]}

    edit = Choice(["names"], required=True)
    name = name_field()
    aliases = Items(name_field(), most=50, unique=True)


class EditQualifier(_Edit):
    """Another qualifier."""

    edit = Choice(["qualifier"], required=True)
    qualifier = Part(Qualifier, required=True)


class EndMap(fields.Dict):
    """Both names of another pair of ends, each standing for one of this frame's."""

    def __init__(self) -> None:
        names = list(END_NAMES)
        metadata = {
            "propertyNames": {"enum": names}, "additionalProperties": {"enum": names},
            "minProperties": 2, "maxProperties": 2,
        }  # fmt: skip
        super().__init__(required=True, metadata=metadata)

    def _deserialize(self, value: Any, attr: Any, data: Any, **_: Any) -> Any:
        sound = isinstance(value, Mapping) and len(value) == 2 and all(
            k in END_NAMES and isinstance(v, str) and v in END_NAMES for k, v in value.items()
        )  # fmt: skip
        if not sound:
            raise wrong("bad_ends", "both names of another pair are wanted, each with one of this frame's ends",
                        "such as front: upper, rear: lower")  # fmt: skip
        return value


class SameEnds(Closed):
    """Proof that another pair of end names stands for this frame's."""

    names = EndMap()
    source = sent_source(required=True)


class EditSameEnds(_Edit):
    """Another pair of end names, with its source."""

    edit = Choice(["same_ends"], required=True)
    same_ends = Part(SameEnds, required=True)


class Merge(_Edit):
    """The record is a double of another."""

    edit = Choice(["merge"], required=True)
    into = Id("frame", required=True)


class PartOfFrame(Closed):
    """A part of a divided record."""

    years = Part(Years)
    qualifier = Part(Qualifier, required=True)


class Divide(_Edit):
    """A part changed while the frame was made: each part becomes a frame of its own, without claims."""

    edit = Choice(["divide"], required=True)
    parts = Items(Part(PartOfFrame), least=2, most=20, required=True)


class Withdraw(_Edit):
    """The record was wrong as a whole."""

    edit = Choice(["withdraw"], required=True)


class Accept(_Edit):
    """A proposal is listed."""

    edit = Choice(["accept"], required=True)


class Restore(_Edit):
    """A merged, divided or withdrawn record answers for itself again."""

    edit = Choice(["restore"], required=True)


class Keep(_Edit):
    """What was said to be wrong with the record was looked at; it is right as it stands."""

    edit = Choice(["keep"], required=True)


EDITS: Final[dict[str, type[ma.Schema]]] = {
    "years": EditYears,
    "names": EditNames,
    "qualifier": EditQualifier,
    "same_ends": EditSameEnds,
    "merge": Merge,
    "divide": Divide,
    "withdraw": Withdraw,
    "accept": Accept,
    "restore": Restore,
    "keep": Keep,
}


class NewEdit(Union):
    """A change of a frame's record with its reason."""

    choose = staticmethod(by_word("edit", EDITS))
    schemas = tuple(EDITS.values())
