"""Examples of shocks and hardware sizes in the document. Makes, models, people and numbers are invented."""

from __future__ import annotations

from typing import Any, Final

from boltspan.domain.cautions import SIZE_CAUTIONS

_HEAD: Final[dict[str, Any]] = {
    "id": "s-5c2h8v1nqt",
    "record": "shock",
    "make": {"slug": "orrinfell", "name": "Orrinfell"},
    "model": {"slug": "brindle", "name": "Brindle"},
    "years": {"from": 2021},
}
_SENT: Final = {
    "kind": "spec_page",
    "url": "https://example.org/brindle-2021",
    "seen_on": "2026-03-04",
    "quote": "both eyes 15 x 22",
}
_KEPT: Final = {**_SENT, "document": "example.org/brindle-2021", "by": "p-4f7h2j9s1d"}
_VALUE: Final = {"mount": "eyelet", "eyelet_bore_mm": 15, "eyelet_width_mm": 22}
_END: Final = {
    "standing": "provisional",
    "advice": "ask_first",
    "value": {**_VALUE, "label": "eyelet, bore 15, width 22"},
    "basis": {"claims": 1, "independent": 1, "evidence_to": 2026},
    "checked_on": "2026-03-04",
}
_SIZES: Final = {
    "standing": "provisional",
    "advice": "ask_first",
    "value": {"sizes": [{"eye_to_eye_mm": 210, "stroke_mm": 55}], "label": "210 x 55"},
    "basis": {"claims": 1, "independent": 1, "evidence_to": 2026},
    "checked_on": "2026-03-04",
}
SHOCK: Final = {
    **_HEAD,
    "sizes": _SIZES,
    "ends": {"body": _END, "shaft": _END},
    "sold_with": [{"frame": "f-7k3m9q2dxw", "ends": ["upper", "lower"], "source": _KEPT}],
    "cautions": list(SIZE_CAUTIONS),
    "event": 1050,
    "demo": True,
}
SHOCKS: Final = {"shocks": [SHOCK]}
NEW_SHOCK_CLAIMS: Final = {
    "shock_end": {"shock": _HEAD["id"], "subject": "body", "value": _VALUE, "source": _SENT},
    "shock_measured": {
        "shock": _HEAD["id"],
        "subject": "shaft",
        "source": {
            "kind": "measured",
            "seen_on": "2026-04-01",
            "instrument": {"kind": "digital_caliper", "resolution_mm": 0.01},
            "features": {"bore": "eyelet_bore", "width": "eyelet_width", "outer": "eyelet_outer"},
            "readings_mm": {"bore": [15.02, 15.01], "width": [22.03], "outer": [25.1]},
        },
    },
    "shock_sizes": {
        "shock": _HEAD["id"],
        "subject": "sizes",
        "value": {"sizes": [{"eye_to_eye_mm": 210, "stroke_mm": 55}], "only": True},
        "source": _SENT,
    },
}
NEW_SHOCK: Final = {
    "make": {"name": "Orrinfell"},
    "model": {"name": "Brindle"},
    "years": {"from": 2021},
}
SHOCK_PROPOSAL: Final = {"shock": {**_HEAD, "listed": False}, "review": {"id": "q-2m8x0q7rvt", "state": "open"}}
SHOCK_CLAIMS: Final = {
    "shock": _HEAD["id"],
    "record": "shock",
    "subjects": {
        "sizes": {"claims": [], "decisions": []},
        "body": {
            "claims": [{"id": "c-9p4t1w6zke", "value": _VALUE, "source": _KEPT, "state": "accepted"}],
            "decisions": [],
        },
        "shaft": {"claims": [], "decisions": []},
    },
}
SHOCK_HISTORY: Final = {
    "shock": _HEAD["id"],
    "history": [{"event": 1050, "on": "2026-04-02", "kind": "shock_added", "shock": _HEAD["id"]}],
}
SHOCK_EDITS: Final = {
    "years": {"edit": "years", "years": {"from": 2021, "to": 2024}, "why": "the 2025 page shows another bore"},
    "sold_with": {
        "edit": "sold_with",
        "sold_with": [{"frame": "f-7k3m9q2dxw", "ends": ["upper", "lower"], "source": _SENT}],
        "why": "the box says so",
    },
    "withdraw": {"edit": "withdraw", "why": "there was never such a shock"},
    "accept": {"edit": "accept", "why": "the page exists"},
    "restore": {"edit": "restore", "why": "it was right as it stood"},
}
SHOCK_EDITED: Final = {"shocks": [{**_HEAD, "years": {"from": 2021, "to": 2024}, "listed": True, "event": 1051}]}
HARDWARE: Final = {
    "sizes": [{"id": "h-1d7r3k9wxa", "bolt_mm": 8, "eyelet_bore_mm": 15, "widths_mm": [20], "source": _KEPT}],
    "widths_mm": [20],
    "widths": [
        {
            "width_mm": 20,
            "standing": "provisional",
            "basis": {"rows": ["h-1d7r3k9wxa"], "independent": 1},
            "checked_on": "2026-03-04",
        }
    ],
    "event": 1060,
    "demo": True,
}
