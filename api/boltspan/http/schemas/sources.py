"""Where a statement comes from, as it is sent and as it stands in the records: three unions told apart by ``kind``."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

import marshmallow as ma

from boltspan.domain.features import BOLT_FEATURES, EYELET_FEATURES, WIDTH_FEATURES
from boltspan.domain.instruments import KINDS as INSTRUMENTS
from boltspan.domain.sources import KINDS, MOST_READINGS
from boltspan.http.schemas.fields import Choice, Closed, Day, Id, Items, Length, OneOf, Part, Text, by_word, wrong

# As in schema/source-1.json: http or https, a host, no user name, nothing that a page could trip over.
_URL: Final = (
    r"[Hh][Tt][Tt][Pp][Ss]?://(?:\[[0-9A-Fa-f:.]+\]|[^\u0000-\u0020\s<>\"\\^`{|}@:/?#\[\]]+)(?::[0-9]{0,5})?"
    r"(?:[/?#][^\u0000-\u0020\s<>\"\\^`{|}]*)?"
)
DOCUMENT_KINDS: Final = tuple(k for k in KINDS if k not in ("measured", "fitted"))


class Address(Text):
    """A web address, http or https, without a user name; kept and shown, never fetched."""

    def __init__(self, **options: Any) -> None:
        super().__init__(
            most=500,
            shape=_URL,
            accepted="an http or https address with a host and without a user name",
            metadata={"description": "http or https, without a user name; kept and shown, never fetched."},
            **options,
        )

    def _deserialize(self, value: Any, attr: Any, data: Any, **options: Any) -> str:
        try:
            return super()._deserialize(value, attr, data, **options)
        except ma.ValidationError:
            raise wrong("bad_url", "this is no web address that may be kept", self.accepted) from None


class _Seen(Closed):
    seen_on = Day(required=True, metadata={"description": "The day the source was seen."})
    page = Text(most=60)
    quote = Text(most=500, metadata={"description": "What the source literally said."})


class WrittenSource(_Seen):
    """A page, a drawing, a manual, a reply or a shop's chart. It is named by ``url``, ``document`` or both."""

    class Meta(Closed.Meta):
        also: Mapping[str, Any] = {"anyOf": [{"required": ["url"]}, {"required": ["document"]}]}

    kind = Choice(DOCUMENT_KINDS, required=True)
    document = Text(
        most=500, metadata={"description": "Names the document: an address, a file's hash, the date of a call."}
    )
    url = Address()

    @ma.validates_schema(pass_original=True)
    def _named(self, _data: Any, original: Mapping[str, Any], **_: Any) -> None:
        if "url" not in original and "document" not in original:
            raise wrong("document_missing", "the document is not named", "document or url", at="document")


class Instrument(Closed):
    """What the readings were taken with."""

    kind = Choice(INSTRUMENTS, required=True)
    resolution_mm = Length(required=True, metadata={"description": "The instrument's step."})


class Features(Closed):
    """What the readings were taken of."""

    class Meta(Closed.Meta):
        also: Mapping[str, Any] = {"minProperties": 1}

    bolt = Choice(BOLT_FEATURES)
    width = Choice(WIDTH_FEATURES)


class Readings(Closed):
    """The numbers on the instrument in mm, in the order taken."""

    class Meta(Closed.Meta):
        also: Mapping[str, Any] = {"minProperties": 1}

    bolt = Items(Length(), least=1, most=MOST_READINGS)
    width = Items(Length(), least=1, most=MOST_READINGS)


class MeasuredSource(_Seen):
    """A measurement: its instrument, what was measured, and the readings. Features and readings name the same parts."""

    kind = Choice(["measured"], required=True)
    document = Text(most=500)
    url = Address()
    instrument = Part(Instrument, required=True)
    features = Part(Features, required=True)
    readings_mm = Part(Readings, required=True)

    @ma.validates_schema(pass_original=True)
    def _matched(self, data: Mapping[str, Any], _original: Any, **_: Any) -> None:
        differing = set(data["features"]) ^ set(data["readings_mm"])
        if differing:
            accepted = f"{' and '.join(sorted(differing))} in both features and readings_mm, or in neither"
            raise wrong(
                "feature_and_readings", "readings go with the feature that was measured", accepted, at="readings_mm"
            )


class EyeletFeatures(Closed):
    """What the readings were taken of at a bare eyelet: bushing out, spacers off."""

    class Meta(Closed.Meta):
        also: Mapping[str, Any] = {"minProperties": 1}

    bore = Choice([EYELET_FEATURES[0]])
    width = Choice([EYELET_FEATURES[1]])
    outer = Choice([EYELET_FEATURES[2]])


class EyeletReadings(Closed):
    """The numbers on the instrument in mm, in the order taken."""

    class Meta(Closed.Meta):
        also: Mapping[str, Any] = {"minProperties": 1}

    bore = Items(Length(), least=1, most=MOST_READINGS)
    width = Items(Length(), least=1, most=MOST_READINGS)
    outer = Items(Length(), least=1, most=MOST_READINGS)


class MeasuredEyeletSource(MeasuredSource):
    """A measurement of a shock's bare eyelet. Features and readings name the same parts."""

    features = Part(EyeletFeatures, required=True)
    readings_mm = Part(EyeletReadings, required=True)


class FittedSource(_Seen):
    """Somebody fitted this size and it went in."""

    kind = Choice(["fitted"], required=True)
    document = Text(most=500)
    url = Address()


SENT: Final[dict[str, type[ma.Schema]]] = {
    **dict.fromkeys(DOCUMENT_KINDS, WrittenSource),
    "measured": MeasuredSource,
    "fitted": FittedSource,
}


def sent_source(**options: Any) -> OneOf:
    """Return the field of a source as contributors send it: who it is from is known by their token."""
    return OneOf((WrittenSource, MeasuredSource, FittedSource), by_word("kind", SENT), **options)


def eyelet_sent() -> OneOf:
    """Return the field of a source of what is said about a shock, as contributors send it."""
    kinds = SENT | {"measured": MeasuredEyeletSource}
    return OneOf((WrittenSource, MeasuredEyeletSource, FittedSource), by_word("kind", kinds), required=True)


class WrittenRecord(WrittenSource):
    """A document, as it stands in the records."""

    by = Id("person", required=True)


class MeasuredRecord(MeasuredSource):
    """A measurement, as it stands in the records."""

    by = Id("person", required=True)


class MeasuredEyeletRecord(MeasuredEyeletSource):
    """A measurement of a shock's bare eyelet, as it stands in the records."""

    by = Id("person", required=True)


class FittedRecord(FittedSource):
    """A fitting, as it stands in the records."""

    by = Id("person", required=True)


KEPT: Final[dict[str, type[ma.Schema]]] = {
    **dict.fromkeys(DOCUMENT_KINDS, WrittenRecord),
    "measured": MeasuredRecord,
    "fitted": FittedRecord,
}


def kept_source(**options: Any) -> OneOf:
    """Return the field of a source as it stands in the records, with the id of the person it is from."""
    return OneOf((WrittenRecord, MeasuredRecord, FittedRecord), by_word("kind", KEPT), **options)


def eyelet_source() -> OneOf:
    """Return the field of a source of what is said about a shock's end, as it stands in the records."""
    kinds = KEPT | {"measured": MeasuredEyeletRecord}
    return OneOf((WrittenRecord, MeasuredEyeletRecord, FittedRecord), by_word("kind", kinds), required=True)
