"""Examples of explanations. Makes, people and numbers are invented."""

from __future__ import annotations

from typing import Any, Final

from boltspan.domain.cautions import SIZE_CAUTIONS

_FIRST: Final[dict[str, Any]] = {
    "value": {"mount": "hardware", "bolt_mm": 8, "width_mm": 38.1, "label": "M8 x 38.1"},
    "p": 0.9671,
    "claims": ["c-9p4t1w6zke"],
}
_SECOND: Final[dict[str, Any]] = {
    "value": {"mount": "hardware", "bolt_mm": 8, "width_mm": 28, "label": "M8 x 28"},
    "p": 0.00484,
}
EXPLANATION: Final = {
    "frame": "f-7k3m9q2dxw",
    "end": "upper",
    "outcome": "insufficient",
    "first": _FIRST,
    "second": _SECOND,
    "prior_log10_odds": 0.1,
    "other_end_log10_odds": 0,
    "weights": [
        {
            "claim": "c-9p4t1w6zke",
            "kind": "spec_page",
            "by": "p-4f7h2j9s1d",
            "seen_on": "2026-03-04",
            "log10_odds": 2.2,
            "words": "the maker's specification page says M8 x 38.1 (+2.2: 200 times likelier under M8 x 38.1 than "
            "under M8 x 28)",
            "mount": "hardware",
            "bolt_mm": 8,
            "width_mm": 38.1,
            "shared_by": 1,
        }
    ],
    "candidates": [_FIRST, _SECOND],
    "sides": [{"says": "M8 x 38.1", "voices": 1, "claims": ["c-9p4t1w6zke"]}],
    "split_probability": 0.0002,
    "witnesses": 1,
    "measurement_value": 0.2,
    "why": ["It is not certain yet: 1 says M8 x 38.1 (the maker's specification page)."],
    "advice": ["It has to come from somebody else than so far: one witness never settles an end."],
    "model_version": "1.0.0+000000000000",
    "snapshot": "0000000000000000",
    "cautions": list(SIZE_CAUTIONS),
    "demo": True,
}
RECORD: Final = {
    "contributor": "p-8d1r6k3x0a",
    "claims": 12,
    "weight": 11.2,
    "sound": 10.6,
    "reliability": 0.947,
    "uncertainty": 0.034,
    "model_version": "1.0.0+000000000000",
    "snapshot": "0000000000000000",
}
