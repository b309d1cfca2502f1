"""What is sent to the look-ups and the writing operations."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any, Final

import marshmallow as ma

from boltspan.domain.findings import STANDINGS
from boltspan.domain.frames import END_PAIRS, YEARS
from boltspan.domain.labels.characters import MOST_CHARACTERS
from boltspan.domain.lengths import MOST_MM
from boltspan.domain.names import MOST_SLUG, SLUG
from boltspan.domain.values import MOUNTS, SHOCK_SIZE
from boltspan.http.schemas.fields import (
    Choice,
    Closed,
    Id,
    Items,
    OneOf,
    Part,
    Text,
    Whole,
    wrong,
)
from boltspan.http.schemas.query_fields import QuerySize, QueryWhole, Size
from boltspan.http.schemas.records import Ends, Qualifier
from boltspan.http.schemas.sources import sent_source
from boltspan.http.schemas.statements import claim_ids, why_field
from boltspan.http.schemas.values import Years, any_value
from boltspan.services.lookup import MOST_LOOKUPS

END_NAMES: Final = tuple(end for pair in END_PAIRS for end in pair)
SUBJECTS: Final = (SHOCK_SIZE, *END_NAMES)
MOST_PAGE: Final = 200
MOST_TEXT: Final = 200


class FrameSearch(Closed):
    """Conditions on frames; every one given must hold. Sizes match within 0.03 mm, at one and the same end."""

    q = Text(most=MOST_TEXT, metadata={"description": "A name as people write it; typing errors are tolerated."})
    make = Text(most=MOST_SLUG, shape=SLUG.pattern, accepted="a slug", metadata={"description": "Slug of the make."})
    model = Text(most=MOST_SLUG, shape=SLUG.pattern, accepted="a slug", metadata={"description": "Slug of the model."})
    year = QueryWhole(least=YEARS[0], most=YEARS[1], metadata={"description": "Model year."})
    bolt_mm = QuerySize(metadata={"description": "Diameter of the bolt."})
    width_mm = QuerySize(metadata={"description": "Width of the hardware."})
    mount = Choice(MOUNTS)
    standing = Choice(STANDINGS)
    limit = QueryWhole(least=1, most=MOST_PAGE, metadata={"default": 50})
    cursor = Text(most=500, shape="[A-Za-z0-9_-]+", accepted="a cursor of this service")

    @ma.validates_schema
    def _one_page(self, data: Mapping[str, Any], **_: Any) -> None:
        if "q" in data and "cursor" in data:
            raise wrong("field_not_taken", "a search by name has one page", "no cursor beside q", at="cursor")


class FrameQuestion(Closed):
    """Which state of a frame's answer."""

    release = Text(
        most=20,
        shape=r"[2-9][0-9]{3}\.(?:0[1-9]|1[0-2])\.(?:0|[1-9][0-9]{0,5})",
        accepted="YYYY.MM.N",
        metadata={"description": "Version of a release: the answer as it stood then."},
    )


class ChangesQuestion(Closed):
    """Where to go on."""

    since = QueryWhole(least=0, most=999_999_999, metadata={"description": "Event number.", "default": 0})
    limit = QueryWhole(least=1, most=1000, metadata={"default": 200})


class ReviewsQuestion(Closed):
    """Which review cases."""

    state = Choice(("open", "closed"), metadata={"description": "Absent: all."})
    limit = QueryWhole(least=1, most=MOST_PAGE, metadata={"default": 50})
    cursor = Text(most=500, shape="[A-Za-z0-9_-]+", accepted="a cursor of this service")


class OwnClaimsQuestion(Closed):
    """Which of one's own claims."""

    limit = QueryWhole(least=1, most=MOST_PAGE, metadata={"default": 50})
    cursor = Text(most=500, shape="[A-Za-z0-9_-]+", accepted="a cursor of this service")


class _Question(Closed):
    ref = Text(most=100, metadata={"description": "The caller's own mark, echoed in the answer."})


class FrameLookup(_Question):
    """A frame by its id."""

    frame = Text(most=40, required=True)


class ModelLookup(_Question):
    """A make and model, by slug or name, and a year."""

    make = Text(most=80, required=True)
    model = Text(most=80, required=True)
    year = Whole(least=YEARS[0], most=YEARS[1])


class TextLookup(_Question):
    """A frame as people write it."""

    q = Text(most=MOST_TEXT, required=True)
    year = Whole(least=YEARS[0], most=YEARS[1])


def _size(description: str) -> Size:
    return Size(over=Decimal(0), most=MOST_MM, metadata={"description": description})


class SizeLookup(_Question):
    """Frames with an end of a size."""

    class Meta(Closed.Meta):
        also: Mapping[str, Any] = {"anyOf": [{"required": ["bolt_mm"]}, {"required": ["width_mm"]}]}

    bolt_mm = _size("Diameter of the bolt.")
    width_mm = _size("Width of the hardware.")
    mount = Choice(MOUNTS)
    year = Whole(least=YEARS[0], most=YEARS[1])

    @ma.validates_schema(pass_original=True)
    def _sized(self, _data: Any, original: Mapping[str, Any], **_: Any) -> None:
        if "bolt_mm" not in original and "width_mm" not in original:
            raise wrong("nothing_asked", "the question names no frame and no size",
                        "frame; make and model; q; bolt_mm or width_mm")  # fmt: skip


def _lookup_schema(question: Mapping[str, Any]) -> type[ma.Schema]:
    kinds: tuple[tuple[str, type[ma.Schema]], ...] = (
        ("frame", FrameLookup), ("make", ModelLookup), ("model", ModelLookup), ("q", TextLookup),
    )  # fmt: skip
    return next((schema for key, schema in kinds if key in question), SizeLookup)


class Lookups(Closed):
    """Up to 200 questions at once."""

    questions = Items(
        OneOf((FrameLookup, ModelLookup, TextLookup, SizeLookup), _lookup_schema),
        least=1,
        most=MOST_LOOKUPS,
        required=True,
    )


class NewFrameClaim(Closed):
    """What one source says about one end, or about the shock's size. Only a measurement may leave the value out."""

    frame = Id("frame", required=True)
    subject = Choice(SUBJECTS, required=True, metadata={"description": "An end as the frame's maker names it."})
    value = any_value()
    label = Text(
        most=MOST_CHARACTERS,
        metadata={
            "description": "Instead of value: the size of this end as the source writes it. It is read as "
            "/v1/bench/labels reads it, and kept as the quote when the source has none."
        },
    )
    years = Part(Years, metadata={"description": "The model years the source speaks of, when it says so."})
    source = sent_source(required=True)
    supersedes = claim_ids(metadata={"description": "Own claims on this subject that this one takes the place of."})


class Reason(Closed):
    """Why."""

    why = why_field()


class Named(Closed):
    """A make or model by name, by slug or both; a known one is recognised by its slug."""

    class Meta(Closed.Meta):
        also: Mapping[str, Any] = {"minProperties": 1}

    name = Text(most=80)
    slug = Text(most=MOST_SLUG, shape=SLUG.pattern, accepted="a-z, 0-9 and single hyphens")


class NewFrame(Closed):
    """A frame that is not there yet. It is listed when a maintainer accepts it."""

    make = Part(Named, required=True)
    model = Part(Named, required=True)
    years = Part(Years, required=True)
    ends = Ends(required=True)
    qualifier = Part(Qualifier)


class NewFrameReview(Closed):
    """What to look at, and why."""

    frame = Id("frame", required=True)
    subject = Choice(SUBJECTS, required=True)
    why = why_field()
