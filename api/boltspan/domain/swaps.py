"""Another shock at one end of a frame: move the old hardware, keep it, buy, need none, or not at all."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from boltspan.domain.answers import Assumed
from boltspan.domain.assumptions import EYE_TO_EYE_TOLERANCE_MM, EYELET_BORE_TOLERANCE_MM, STROKE_TOLERANCE_MM
from boltspan.domain.cautions import SIZE_CAUTIONS
from boltspan.domain.lengths import plain, same_size
from boltspan.domain.preconditions import require_amount, require_given, require_length, require_one_of
from boltspan.domain.refusals import BenchRefusal
from boltspan.domain.shock_values import SHOCK_MOUNTS
from boltspan.domain.values import MOUNTS

_WITH_BORE: Final = ("eyelet", "bearing_eyelet")
_GO_TOGETHER: Final = (
    ("hardware", "eyelet"),
    ("bearing", "bearing_eyelet"),
    ("trunnion", "trunnion"),
    ("open_eyelet", "open_eyelet"),
)
REASONS: Final = {
    "mount_differs": "The shock's end does not go with the frame's mount.",
    "length_differs": "The shock is longer or shorter from eye to eye than the frame's.",
    "stroke_longer": "The stroke is longer than the frame's: the wheel or a link may hit the frame.",
    "stroke_shorter": "The stroke is shorter than the frame's. Some makers allow it; ask the frame's maker.",
    "proprietary_mount": "Only the frame's maker sells the hardware of this end.",
    "size_unknown": "The size of the frame's end is not known.",
}


@dataclass(frozen=True, slots=True)
class FrameEnd:
    """One end of the frame and the shock it takes, in mm. ``hardware`` needs both sizes."""

    mount: str
    eye_to_eye_mm: Decimal
    stroke_mm: Decimal
    bolt_mm: Decimal | None = None
    width_mm: Decimal | None = None
    eyelet_bore_mm: Decimal | None = None
    bearing_compatible: bool = False


@dataclass(frozen=True, slots=True)
class OldHardware:
    """What is in the old shock's eyelet, in mm, and whether it is worn."""

    bolt_mm: Decimal
    width_mm: Decimal
    eyelet_bore_mm: Decimal
    worn: bool


@dataclass(frozen=True, slots=True)
class NewShock:
    """The end of the shock that goes in, in mm. ``eyelet`` and ``bearing_eyelet`` need the bore."""

    mount: str
    eye_to_eye_mm: Decimal
    stroke_mm: Decimal
    eyelet_bore_mm: Decimal | None = None


@dataclass(frozen=True, slots=True)
class ShockSwapRequest:
    """One end of a swap. ``same_shock``: the same shock goes back in after a service.

    Raises BenchRefusal for an unknown mount, a length out of range, or one that its mount needs and that is missing.
    """

    frame: FrameEnd
    new_shock: NewShock
    old_hardware: OldHardware | None = None
    same_shock: bool = False
    stroke_tolerance_mm: Decimal = STROKE_TOLERANCE_MM
    eye_to_eye_tolerance_mm: Decimal = EYE_TO_EYE_TOLERANCE_MM

    def __post_init__(self) -> None:
        frame, shock = self.frame, self.new_shock
        require_one_of("frame/mount", frame.mount, MOUNTS)
        require_one_of("new_shock/mount", shock.mount, SHOCK_MOUNTS)
        if frame.mount == "hardware":
            require_given("frame/bolt_mm", frame.bolt_mm, "the bolt's diameter in mm")
            require_given("frame/width_mm", frame.width_mm, "the width between the tabs in mm")
        if shock.mount in _WITH_BORE:
            require_given("new_shock/eyelet_bore_mm", shock.eyelet_bore_mm, "the bore of the eyelet in mm")
        for name in ("eye_to_eye_mm", "stroke_mm", "bolt_mm", "width_mm", "eyelet_bore_mm"):
            require_length(f"frame/{name}", getattr(frame, name))
            require_length(f"new_shock/{name}", getattr(shock, name, None))
            if name not in ("eye_to_eye_mm", "stroke_mm") and self.old_hardware is not None:
                require_length(f"old_hardware/{name}", getattr(self.old_hardware, name))
        require_amount("stroke_tolerance_mm", self.stroke_tolerance_mm)
        require_amount("eye_to_eye_tolerance_mm", self.eye_to_eye_tolerance_mm)


@dataclass(frozen=True, slots=True)
class Part:
    """The hardware to buy: the frame's bolt and width for the new eyelet's bore, in mm."""

    bolt_mm: Decimal
    width_mm: Decimal
    eyelet_bore_mm: Decimal


@dataclass(frozen=True, slots=True)
class ShockSwapAnswer:
    """What to do at this end: ``move | buy | keep | none_needed | incompatible | ask_frame_maker``.

    ``reasons`` are codes of ``REASONS``, none when it goes in; ``cautions`` are codes too, none when it does not.
    """

    action: str
    reasons: tuple[str, ...]
    cautions: tuple[str, ...]
    assumed: tuple[Assumed, ...]
    buy: Part | None = None


def swap_shock_as_stated(request: ShockSwapRequest) -> ShockSwapAnswer:
    """Return what ``swap_shock`` says of sizes that somebody stated as they are.

    Raises BenchRefusal for a stroke as long as its shock, or longer: numbers that changed places, most likely.
    """
    for side, of in (("frame", request.frame), ("new_shock", request.new_shock)):
        if of.stroke_mm >= of.eye_to_eye_mm:
            raise BenchRefusal("stroke_longer_than_shock", f"{side}/stroke_mm", plain(of.stroke_mm),
                               f"under {plain(of.eye_to_eye_mm)}")  # fmt: skip
    return swap_shock(request)


def swap_shock(request: ShockSwapRequest) -> ShockSwapAnswer:
    """Return what to do with the hardware of one end when a shock goes in.

    In this order (common practice): a proprietary mount goes to the frame's maker; another mount, another length or a
    longer stroke is incompatible, with all reasons that hold; a shorter stroke or an end whose size is not known goes
    to the frame's maker; trunnion and open eyelet need nothing; old hardware of the frame's bolt and width, not worn,
    in the same eyelet bore is moved (kept when the shock is the same); else the frame's bolt and width are bought for
    the new bore. Differences up to the tolerances count as equal; bolts and widths within 0.03 are one size.
    """
    assumed = [
        Assumed("stroke_tolerance_mm", request.stroke_tolerance_mm),
        Assumed("eye_to_eye_tolerance_mm", request.eye_to_eye_tolerance_mm),
    ]
    frame, shock = request.frame, request.new_shock
    if frame.mount == "proprietary":
        return ShockSwapAnswer("ask_frame_maker", ("proprietary_mount",), (), ())
    if _by_flag_only(frame, shock):
        assumed.append(Assumed("bearing_compatible_takes_bearing_eyelet", Decimal(1)))
    for action, tests in (("incompatible", _INCOMPATIBLE), ("ask_frame_maker", _ASK)):
        reasons = tuple(reason for reason, holds in tests if holds(request))
        if reasons:
            return ShockSwapAnswer(action, reasons, (), tuple(assumed))
    bolt, width, bore = frame.bolt_mm, frame.width_mm, shock.eyelet_bore_mm
    if frame.mount in ("trunnion", "open_eyelet") or bolt is None or width is None or bore is None:
        return ShockSwapAnswer("none_needed", (), SIZE_CAUTIONS, tuple(assumed))
    part = Part(bolt, width, bore)
    if request.old_hardware is not None:
        assumed.append(Assumed("eyelet_bore_tolerance_mm", EYELET_BORE_TOLERANCE_MM))
    if not _serves(request.old_hardware, part):
        return ShockSwapAnswer("buy", (), SIZE_CAUTIONS, tuple(assumed), buy=part)
    if request.same_shock:
        return ShockSwapAnswer("keep", (), SIZE_CAUTIONS, tuple(assumed))
    return ShockSwapAnswer("move", (), ("fit_new_bushing_advised", *SIZE_CAUTIONS), tuple(assumed))


def _by_flag_only(frame: FrameEnd, shock: NewShock) -> bool:
    return frame.mount == "hardware" and frame.bearing_compatible and shock.mount == "bearing_eyelet"


def _mount_differs(request: ShockSwapRequest) -> bool:
    frame, shock = request.frame, request.new_shock
    return (frame.mount, shock.mount) not in _GO_TOGETHER and not _by_flag_only(frame, shock)


def _length_differs(request: ShockSwapRequest) -> bool:
    return abs(request.new_shock.eye_to_eye_mm - request.frame.eye_to_eye_mm) > request.eye_to_eye_tolerance_mm


def _stroke_longer(request: ShockSwapRequest) -> bool:
    return request.new_shock.stroke_mm - request.frame.stroke_mm > request.stroke_tolerance_mm


def _stroke_shorter(request: ShockSwapRequest) -> bool:
    return request.frame.stroke_mm - request.new_shock.stroke_mm > request.stroke_tolerance_mm


def _size_unknown(request: ShockSwapRequest) -> bool:
    frame = request.frame
    return frame.mount in ("hardware", "bearing") and (frame.bolt_mm is None or frame.width_mm is None)


_Test = tuple[str, Callable[[ShockSwapRequest], bool]]
_INCOMPATIBLE: Final[tuple[_Test, ...]] = (
    ("mount_differs", _mount_differs),
    ("length_differs", _length_differs),
    ("stroke_longer", _stroke_longer),
)
_ASK: Final[tuple[_Test, ...]] = (("stroke_shorter", _stroke_shorter), ("size_unknown", _size_unknown))


def _serves(old: OldHardware | None, part: Part) -> bool:
    return (
        old is not None
        and not old.worn
        and same_size(old.bolt_mm, part.bolt_mm)
        and same_size(old.width_mm, part.width_mm)
        and abs(old.eyelet_bore_mm - part.eyelet_bore_mm) <= EYELET_BORE_TOLERANCE_MM
    )
