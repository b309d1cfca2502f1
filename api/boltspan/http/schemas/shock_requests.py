"""What is sent about shocks: searches, claims, reviews and edits."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

import marshmallow as ma

from boltspan.domain.frames import YEARS
from boltspan.domain.names import MOST_SLUG, SLUG
from boltspan.domain.shock_values import SIZES
from boltspan.domain.shocks import SHOCK_ENDS
from boltspan.http.schemas.edit_requests import (
    Accept,
    Divide,
    EditNames,
    EditQualifier,
    EditYears,
    Keep,
    Restore,
    Withdraw,
)
from boltspan.http.schemas.fields import Choice, Closed, Id, Items, Part, Text, Union, by_word, wrong
from boltspan.http.schemas.query_fields import QuerySize, QueryWhole
from boltspan.http.schemas.records import Qualifier
from boltspan.http.schemas.requests import MOST_PAGE, MOST_TEXT, Named, NewFrameClaim, NewFrameReview
from boltspan.http.schemas.shock_records import EndsSold
from boltspan.http.schemas.shock_values import shock_value
from boltspan.http.schemas.sources import eyelet_sent, sent_source
from boltspan.http.schemas.statements import claim_ids, why_field
from boltspan.http.schemas.values import Years

SHOCK_SUBJECTS: Final = (SIZES, *SHOCK_ENDS)


class ShockSearch(Closed):
    """Conditions on shocks; every one given must hold."""

    q = Text(most=MOST_TEXT, metadata={"description": "A name as people write it; typing errors are tolerated."})
    make = Text(most=MOST_SLUG, shape=SLUG.pattern, accepted="a slug", metadata={"description": "Slug of the make."})
    model = Text(most=MOST_SLUG, shape=SLUG.pattern, accepted="a slug", metadata={"description": "Slug of the model."})
    year = QueryWhole(least=YEARS[0], most=YEARS[1], metadata={"description": "Model year."})
    limit = QueryWhole(least=1, most=MOST_PAGE, metadata={"default": 50})
    cursor = Text(most=500, shape="[A-Za-z0-9_-]+", accepted="a cursor of this service")

    @ma.validates_schema
    def _one_page(self, data: Mapping[str, Any], **_: Any) -> None:
        if "q" in data and "cursor" in data:
            raise wrong("field_not_taken", "a search by name has one page", "no cursor beside q", at="cursor")


class HardwareQuestion(Closed):
    """Conditions on what is produced; every one given must hold. Sizes match within 0.03 mm."""

    bolt_mm = QuerySize(metadata={"description": "Diameter of the bolt."})
    width_mm = QuerySize(metadata={"description": "Width of the hardware."})
    eyelet_bore_mm = QuerySize(metadata={"description": "Bore of the shock's eyelet."})


class NewShockClaim(Closed):
    """What one source says about one end of a shock, or about the sizes it is made in.

    Only a measurement of an end's bare eyelet may leave the value out; its readings speak.
    """

    shock = Id("shock", required=True)
    subject = Choice(SHOCK_SUBJECTS, required=True)
    value = shock_value()
    years = Part(Years, metadata={"description": "The model years the source speaks of, when it says so."})
    source = eyelet_sent()
    supersedes = claim_ids(metadata={"description": "Own claims on this subject that this one takes the place of."})


def _of_shock(data: Mapping[str, Any]) -> bool:
    return "shock" in data


class NewClaim(Union):
    """What one source says about a subject of a frame, or of a shock."""

    schemas = (NewFrameClaim, NewShockClaim)

    @staticmethod
    def choose(data: Mapping[str, Any]) -> type[ma.Schema]:
        """Return the schema for a claim by what it names."""
        return NewShockClaim if _of_shock(data) else NewFrameClaim


class NewShock(Closed):
    """A shock that is not there yet. It is listed when a maintainer accepts it."""

    make = Part(Named, required=True)
    model = Part(Named, required=True)
    years = Part(Years, required=True)
    qualifier = Part(Qualifier)


class NewShockReview(Closed):
    """What to look at, and why."""

    shock = Id("shock", required=True)
    subject = Choice(SHOCK_SUBJECTS, required=True)
    why = why_field()


class NewReview(Union):
    """A subject of a frame, or of a shock, to look at, and why."""

    schemas = (NewFrameReview, NewShockReview)

    @staticmethod
    def choose(data: Mapping[str, Any]) -> type[ma.Schema]:
        """Return the schema for a case by what it names."""
        return NewShockReview if _of_shock(data) else NewFrameReview


class SoldWithSent(Closed):
    """The word of a source that the shock, sold for this frame, has the hardware of these ends in its box."""

    frame = Id("frame", required=True)
    ends = EndsSold(required=True)
    source = sent_source(required=True)


class EditSoldWith(Closed):
    """Other frames for which the shock is sold with hardware; an empty list says none."""

    edit = Choice(["sold_with"], required=True)
    sold_with = Items(Part(SoldWithSent), most=100, required=True)
    why = why_field()


class MergeShock(Closed):
    """The record is a double of another."""

    edit = Choice(["merge"], required=True)
    into = Id("shock", required=True)
    why = why_field()


_EDITS: Final[dict[str, type[ma.Schema]]] = {
    "years": EditYears,
    "names": EditNames,
    "qualifier": EditQualifier,
    "sold_with": EditSoldWith,
    "merge": MergeShock,
    "divide": Divide,
    "withdraw": Withdraw,
    "accept": Accept,
    "restore": Restore,
    "keep": Keep,
}


class NewShockEdit(Union):
    """A change of a shock's record with its reason."""

    choose = staticmethod(by_word("edit", _EDITS))
    schemas = tuple(_EDITS.values())
