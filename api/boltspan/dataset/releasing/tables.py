"""The tables of a release: columns with their types and limits, keys, and how they hang together.

One table of tables: the CSV files are written after it and ``datapackage.json`` describes them from it. No column
holds free text: quotes, reasons and the texts of qualifiers stand in ``frames.jsonl``.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from boltspan.domain.features import BOLT_FEATURES, WIDTH_FEATURES
from boltspan.domain.findings import ADVICE, STANDINGS, SUPPLY
from boltspan.domain.frames import END_PAIRS, QUALIFIERS, RECORDS, YEARS
from boltspan.domain.ids import pattern
from boltspan.domain.instruments import KINDS as INSTRUMENTS
from boltspan.domain.names import SLUG
from boltspan.domain.shock_values import BEARINGS, SHOCK_MOUNTS
from boltspan.domain.shocks import SHOCK_ENDS as ENDS_OF_SHOCKS
from boltspan.domain.shocks import SHOCK_RECORDS
from boltspan.domain.sources import KINDS
from boltspan.domain.value_sizes import (
    BOLT_RANGE,
    BORE_RANGE,
    EYE_TO_EYE_RANGE,
    EYELET_OUTER_RANGE,
    EYELET_WIDTH_RANGE,
    STROKE_RANGE,
    WIDTH_RANGE,
)
from boltspan.domain.values import MOUNTS, SHOCK_SIZE

ENDS: Final = tuple(end for pair in END_PAIRS for end in pair)


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its name, its type in Table Schema's words, what it says, and the limits of its values."""

    name: str
    type: str
    says: str
    constraints: tuple[tuple[str, Any], ...] = ()

    @property
    def described(self) -> dict[str, Any]:
        """The column as a field descriptor of Table Schema."""
        found: dict[str, Any] = {"name": self.name, "type": self.type, "description": self.says}
        return found | ({"constraints": dict(self.constraints)} if self.constraints else {})


@dataclass(frozen=True, slots=True)
class Reference:
    """Columns that name a row of another table by its columns ``target``."""

    columns: tuple[str, ...]
    table: str
    target: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """One CSV file: ``name`` without its ending, title, columns in order, the columns that name a row, references."""

    name: str
    title: str
    columns: tuple[Column, ...]
    key: tuple[str, ...]
    references: tuple[Reference, ...] = ()

    @property
    def file(self) -> str:
        """The name of the table's file."""
        return f"{self.name}.csv"

    @property
    def column_names(self) -> tuple[str, ...]:
        """The names of the columns, in order."""
        return tuple(column.name for column in self.columns)


def _bare(anchored: str) -> str:
    """Return a pattern as Table Schema wants it: XML Schema's syntax, always of the whole cell, without ^ and $."""
    return anchored.removeprefix("^").removesuffix("$")


def _text(name: str, says: str, **limits: Any) -> Column:
    return Column(name, "string", says, tuple(limits.items()))


def _id(name: str, kind: str, says: str, *, required: bool = False) -> Column:
    return _text(name, says, **({"required": True} if required else {}), pattern=_bare(pattern(kind)))


def _code(name: str, says: str, allowed: tuple[str, ...], *, required: bool = False) -> Column:
    return _text(name, says, **({"required": True} if required else {}), enum=list(allowed))


def _slug(name: str, says: str) -> Column:
    return _text(name, says, required=True, pattern=SLUG.pattern.replace("?:", ""))


def _mm(name: str, says: str, bounds: tuple[Decimal, Decimal] | None = None) -> Column:
    if bounds is None:
        return Column(name, "number", says, (("exclusiveMinimum", 0),))
    low, high = bounds
    return Column(name, "number", says, (("exclusiveMinimum", low), ("maximum", high)))


def _count(name: str, says: str) -> Column:
    return Column(name, "integer", says, (("required", True), ("minimum", 0)))


def _year(name: str, says: str, *, required: bool = False) -> Column:
    first, last = YEARS
    limits = (("minimum", first), ("maximum", last))
    return Column(name, "integer", says, ((("required", True), *limits) if required else limits))


def _date(name: str, says: str) -> Column:
    return Column(name, "date", says)


def _readings(name: str, says: str) -> Column:
    number = r"[0-9]+(\.[0-9]+)?"
    return _text(name, says, pattern=f"{number}( {number})*")


_FRAME_ID: Final = _bare(pattern("frame"))
_DEMO: Final = Column("demo", "boolean", "true on every row of a dataset whose records are invented; else empty.")
_MAKE: Final = _slug("make", "The make, by its slug.")
_MODEL: Final = _slug("model", "The model, by its slug within the make.")
_YEARS: Final = (
    _year("year_from", "First model year.", required=True),
    _year("year_to", "Last model year; empty while still made."),
)
_OF_FRAME: Final = (_id("frame", "frame", "The frame, by its id.", required=True), _MAKE, _MODEL, *_YEARS)
_TO_FRAMES: Final = Reference(("frame",), "frames", ("id",))
_TO_MODELS: Final = Reference(("make", "model"), "models", ("make", "slug"))
_STANDING: Final = (
    _code("standing", "How well it is known; see README.txt.", STANDINGS, required=True),
    _code("advice", "What a shop may do on this row; see README.txt.", ADVICE, required=True),
)
_BASIS: Final = (
    Column("contested", "boolean", "true when a claim that the decision did not see says otherwise.",
           (("required", True),)),
    _count("claims", "How many claims the value rests on; all of them when no value is given."),
    _count("independent", "How many independent voices these claims are."),
    _id("decision", "decision", "The decision that rules, if any."),
    _year("evidence_to", "Last model year the evidence speaks of."),
    _date("checked_on", "When it was decided, or the newest source was seen."),
)  # fmt: skip
_WEIGHED: Final = (
    Column("confidence", "number", "Probability of the value from the evidence alone; empty where it was not weighed.",
           (("minimum", 0), ("maximum", 1))),
    _text("model_version", "The evidence model that the probability comes from."),
)  # fmt: skip
_SIZES: Final = (
    _mm("bolt_mm", "Outer diameter of the frame's bolt, in mm; exact decimal.", BOLT_RANGE),
    _mm("width_mm", "Width between the tabs, in mm; exact decimal.", WIDTH_RANGE),
    _mm("eyelet_bore_mm", "Bore of the eyelet (open_eyelet), in mm; exact decimal.", BORE_RANGE),
)
_DOCUMENT: Final = _text(
    "document",
    "Stands for the source document: claims with the same one count once. SHA-256 of its name.",
    pattern="sha256:[0-9a-f]{64}",
)
_COMPATIBLE: Final = Column("bearing_compatible", "boolean", "true when a bearing goes as well; empty: not known.")
_SHOCK: Final = (
    _mm("eye_to_eye_mm", "Length of the shock between its eyes, in mm.", EYE_TO_EYE_RANGE),
    _mm("stroke_mm", "Stroke of the shock, in mm.", STROKE_RANGE),
)

MAKES: Final = Table(
    "makes",
    "Makes",
    (_slug("slug", "The make's name in addresses and files."), _text("name", "The make's name.", required=True), _DEMO),
    ("slug",),
)
MODELS: Final = Table(
    "models",
    "Models",
    (
        _MAKE,
        _slug("slug", "The model's name in addresses and files, within its make."),
        _text("name", "The model's name.", required=True),
        _DEMO,
    ),
    ("make", "slug"),
    (Reference(("make",), "makes", ("slug",)),),
)
FRAMES: Final = Table(
    "frames",
    "Frames",
    (
        _id("id", "frame", "The frame's id; never used again.", required=True),
        _code("record", "What became of the record.", RECORDS, required=True),
        _MAKE,
        _MODEL,
        *_YEARS,
        _code("qualifier", "What tells it from others of its model and year; frames.jsonl says how.", QUALIFIERS),
        _code("end_1", "The first end, as the maker names it.", ENDS, required=True),
        _code("end_2", "The second end, as the maker names it.", ENDS, required=True),
        _text("into", "The frames that answer instead, ids with a blank between them.",
              pattern=f"{_FRAME_ID}( {_FRAME_ID})*"),
        _date("withdrawn_on", "When the record was withdrawn."),
        _DEMO,
    ),
    ("id",),
    (_TO_MODELS,),
)  # fmt: skip
END_ROWS: Final = Table(
    "ends",
    "Ends: what each end of a frame needs",
    (
        *_OF_FRAME,
        _code("end", "The end, as the maker names it.", ENDS, required=True),
        *_STANDING,
        _code("supply", "Where the part comes from.", SUPPLY),
        _code("mount", "What kind of mount it is.", MOUNTS),
        *_SIZES,
        _COMPATIBLE,
        _text("label", "The size as the trade writes it."),
        *_BASIS,
        *_WEIGHED,
        _DEMO,
    ),
    ("frame", "end"),
    (_TO_FRAMES, _TO_MODELS),
)
SHOCK_SIZES: Final = Table(
    "shock_sizes",
    "Shock sizes: the shock each frame takes",
    (*_OF_FRAME, *_STANDING, *_SHOCK, _text("label", "Eye-to-eye by stroke, as written on a shock."), *_BASIS, _DEMO),
    ("frame",),
    (_TO_FRAMES, _TO_MODELS),
)
CLAIMS: Final = Table(
    "claims",
    "Claims that count: what each source says",
    (
        _id("id", "claim", "The claim's id; never used again.", required=True),
        _id("frame", "frame", "The frame, by its id.", required=True),
        _code("subject", "What it speaks of: an end or the shock size.", (SHOCK_SIZE, *ENDS), required=True),
        _code("kind", "Kind of source.", KINDS, required=True),
        _DOCUMENT,
        _id("by", "person", "Who saw or measured it; an opaque id.", required=True),
        Column("seen_on", "date", "When the source was seen.", (("required", True),)),
        _year("year_from", "First model year the claim speaks of; empty: the frame's."),
        _year("year_to", "Last model year the claim speaks of; empty: the frame's, or still made."),
        _code("mount", "The mount it states.", MOUNTS),
        *_SIZES,
        _COMPATIBLE,
        *_SHOCK,
        _code("instrument", "What was measured with.", INSTRUMENTS),
        _mm("resolution_mm", "Smallest step of the instrument, in mm."),
        _code("bolt_feature", "What was measured of the bolt.", BOLT_FEATURES),
        _readings("bolt_readings_mm", "Readings of the bolt in mm, a blank between them."),
        _code("width_feature", "What was measured of the width.", WIDTH_FEATURES),
        _readings("width_readings_mm", "Readings of the width in mm, a blank between them."),
        _DEMO,
    ),
    ("id",),
    (_TO_FRAMES,),
)  # fmt: skip
_SHOCK_ID: Final = _bare(pattern("shock"))
_OF_SHOCK: Final = (_id("shock", "shock", "The shock, by its id.", required=True), _MAKE, _MODEL, *_YEARS)
_TO_SHOCKS: Final = Reference(("shock",), "shocks", ("id",))
_TO_SHOCK_MODELS: Final = Reference(("make", "model"), "shock_models", ("make", "slug"))
_SHOCK_BORE: Final = _mm("eyelet_bore_mm", "Bore of the shock's eyelet, in mm; exact decimal.", BORE_RANGE)
SHOCK_MODELS: Final = Table(
    "shock_models",
    "Shock models",
    MODELS.columns,
    MODELS.key,
    MODELS.references,
)
SHOCKS: Final = Table(
    "shocks",
    "Shocks",
    (
        _id("id", "shock", "The shock's id; never used again.", required=True),
        _code("record", "What became of the record.", SHOCK_RECORDS, required=True),
        _MAKE,
        _MODEL,
        *_YEARS,
        _code("qualifier", "What tells it from others of its model and year; shocks.jsonl says how.", QUALIFIERS),
        _text("into", "The shocks that answer instead, ids with a blank between them.",
              pattern=f"{_SHOCK_ID}( {_SHOCK_ID})*"),
        _date("withdrawn_on", "When the record was withdrawn."),
        _DEMO,
    ),
    ("id",),
    (_TO_SHOCK_MODELS,),
)  # fmt: skip
SHOCK_ENDS: Final = Table(
    "shock_ends",
    "Shock ends: what each end of a shock is",
    (
        *_OF_SHOCK,
        _code("end", "The end.", ENDS_OF_SHOCKS, required=True),
        *_STANDING,
        _code("mount", "What kind of mount it is.", SHOCK_MOUNTS),
        _SHOCK_BORE,
        _mm("eyelet_width_mm", "Length of the eyelet along the bolt, in mm.", EYELET_WIDTH_RANGE),
        _mm("eyelet_outer_mm", "Outside diameter of the eyelet, in mm.", EYELET_OUTER_RANGE),
        _code("bearings", "Whether the bearings can be taken out; empty: not known.", BEARINGS),
        _text("label", "The end in words."),
        *_BASIS,
        _DEMO,
    ),
    ("shock", "end"),
    (_TO_SHOCKS, _TO_SHOCK_MODELS),
)
SIZES_MADE: Final = Table(
    "sizes_made",
    "Sizes each shock is made in, where they are known",
    (*_OF_SHOCK, *_SHOCK, *_STANDING, *_BASIS, _DEMO),
    ("shock", "eye_to_eye_mm", "stroke_mm"),
    (_TO_SHOCKS, _TO_SHOCK_MODELS),
)
HARDWARE: Final = Table(
    "hardware_sizes",
    "Hardware sizes: what each source says is produced",
    (
        _id("id", "hardware", "Id of what one source says of one bolt.", required=True),
        _SIZES[0],
        _SHOCK_BORE,
        _SIZES[1],
        _code("kind", "Kind of source.", KINDS, required=True),
        _DOCUMENT,
        _id("by", "person", "Who saw it; an opaque id.", required=True),
        Column("seen_on", "date", "When the source was seen.", (("required", True),)),
        _DEMO,
    ),
    ("id", "width_mm"),
)
OF_SHOCKS: Final = (SHOCK_MODELS, SHOCKS, SHOCK_ENDS, SIZES_MADE, HARDWARE)
TABLES: Final = (MAKES, MODELS, FRAMES, END_ROWS, SHOCK_SIZES, CLAIMS, *OF_SHOCKS)
