"""The marshmallow twin of every JSON Schema."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

import marshmallow as ma

from boltspan.http.schemas.records import DatasetFile, FrameFile, MakeFile, ReleaseManifest
from boltspan.http.schemas.shock_records import HardwareFile, ShockFile
from boltspan.http.schemas.statements import (
    EndClaim,
    SettleEndRecord,
    ShockSizeClaim,
    end_decision,
    shock_size_decision,
)


def _is_shock_size(data: Any) -> bool:
    value = data.get("value") if isinstance(data, Mapping) else None
    return isinstance(value, Mapping) and bool({"eye_to_eye_mm", "stroke_mm"} & set(value))


def _claim(data: Any) -> type[ma.Schema]:
    return ShockSizeClaim if _is_shock_size(data) else EndClaim


def _decision(data: Any) -> type[ma.Schema]:
    if not isinstance(data, Mapping):
        return SettleEndRecord
    return (shock_size_decision if _is_shock_size(data) else end_decision)(data)


TWINS: Final[Mapping[str, Callable[[Any], type[ma.Schema]]]] = {
    "claim-1": _claim,
    "decision-1": _decision,
    "frame-1": lambda _: FrameFile,
    "shock-1": lambda _: ShockFile,
    "hardware-1": lambda _: HardwareFile,
    "make-1": lambda _: MakeFile,
    "dataset-1": lambda _: DatasetFile,
    "release-1": lambda _: ReleaseManifest,
}
"""For each JSON Schema by its name: the marshmallow schema of a document. It raises ValidationError when none fits."""
