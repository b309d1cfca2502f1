"""The words of a label, and the tokens that text is cut into."""

from __future__ import annotations

from decimal import Decimal
from typing import Final, NamedTuple

NUMBER: Final = "number"
SEPARATOR: Final = "separator"  # x, a comma, a dash; and a slash inside one size
SPLIT: Final = "split"  # / ; | & and a newline: may part two ends
END: Final = "end"
MOUNT: Final = "mount"
OPEN: Final = "open"  # "open" alone: a mount where an end is named
NONE: Final = "none"
ROLE: Final = "role"  # a word that marks a number as bolt or width
FLAG: Final = "flag"  # bearing compatible
FILLER: Final = "filler"  # names the part, says nothing of the size
OTHER: Final = "other"  # any other word: says nothing of the size either
TO: Final = "to"  # between two numbers: a range or a choice
DOUBT: Final = "doubt"  # a word beside which a size is not certain; its value is the reason to refuse
NOTE: Final = "note"  # a word that only gives a warning
SCREW: Final = "screw"


class Number(NamedTuple):
    """A number of a label, in mm, with its unit as written ("", mm, cm, in) and the mark before it ("", m, ⌀)."""

    mm: Decimal
    unit: str
    mark: str
    kind: str = NUMBER

    @property
    def carries_unit(self) -> bool:
        """Whether its unit is beyond doubt: written, an inch fraction, or a mark that goes with millimetres."""
        return bool(self.unit or self.mark)


class Word(NamedTuple):
    """A word or sign of a label: what kind it is, and what it stands for."""

    kind: str
    value: str


Token = Number | Word

BY: Final = Word(SEPARATOR, "x")
UNKNOWN: Final = Word(OTHER, "")

_RANGE: Final = (
    "from between min minimum max maximum approx approximately about around circa ca roughly nearly up under over "
    "below above less more least most than either maybe perhaps possibly probably unsure estimated unknown tbc tbd "
    "varies same"
)
_NOT: Final = "not no non without except never"
_DIGITLESS: Final = (
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen "
    "eighteen nineteen twenty thirty forty fifty sixty seventy eighty ninety hundred half quarter quarters "
    "third thirds eighth eighths sixteenth sixteenths point"
)
_UNITS_NOT_TAKEN: Final = (
    "m meter meters metre metres dm um micron microns micrometer micrometers micrometre micrometres thou mil mils ft "
    "foot feet yd nm pt"
)
_STRAY_UNITS: Final = "in inch inches ins cm cms centimeter centimeters centimetre centimetres"


def _each(kind: str, value: str, words: str) -> dict[str, Word]:
    return dict.fromkeys(words.split(), Word(kind, value))


WORDS: Final[dict[str, Word]] = (
    {name: Word(END, name) for name in ("front", "rear", "upper", "lower", "frame", "link", "shaft", "body", "both")}
    | {"f": Word(END, "front"), "r": Word(END, "rear"), "top": Word(END, "upper"), "bottom": Word(END, "lower")}
    | {"upr": Word(END, "upper"), "lwr": Word(END, "lower"), "frt": Word(END, "front")}
    | _each(MOUNT, "trunnion", "trunnion trunnions tr trun trunn trn")
    | _each(MOUNT, "bearing", "bearing bearings brg brgs brng")
    | _each(MOUNT, "proprietary", "proprietary prop propr")
    | _each(ROLE, "bolt", "bolt dia diam diameter id")
    | _each(ROLE, "width", "w wide width")
    | _each(DOUBT, "range_not_single", _RANGE)
    | _each(DOUBT, "none_without_reason", _NOT)
    | _each(DOUBT, "bad_number", f"{_DIGITLESS} {_UNITS_NOT_TAKEN}")
    | _each(DOUBT, "unit_missing_inch", _STRAY_UNITS)
    | _each(DOUBT, "width_or_bore_unclear", "od")
    | _each(DOUBT, "screw_designation", "unc unf tpi")
    | _each(TO, "", "to till until thru through")
    | _each(FILLER, "", "end ends side sides mount mounts eyelet eyelets eye shock hardware kit size mm millimeters")
    | {
        "by": BY,
        "or": Word(TO, "range_not_single"),
        "open": Word(OPEN, "open_eyelet"),
        "none": Word(NONE, ""),
        "nothing": Word(NONE, ""),
        "offset": Word(NOTE, "offset"),
        "screw": Word(SCREW, ""),
        "screws": Word(SCREW, ""),
    }
)
"""Every word the grammar knows, in lower case."""

PHRASES: Final[dict[str, Word]] = {
    "rear_shock": Word(FILLER, ""),  # the part's name, not the rear end
    "open_eyelet": Word(MOUNT, "open_eyelet"),
    "takes_bearing": Word(FLAG, "bearing_compatible"),
    "no_hardware": Word(NONE, ""),
    "not_applicable": Word(DOUBT, "none_without_reason"),
}
"""Words that mean something else together than apart, by the name of their pattern in ``tokens``."""
