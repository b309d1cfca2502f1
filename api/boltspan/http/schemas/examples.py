"""Examples in the document. Makes, models, people and numbers are invented."""

from __future__ import annotations

from typing import Any, Final

from boltspan.domain.cautions import SIZE_CAUTIONS

_HEAD: Final[dict[str, Any]] = {
    "id": "f-7k3m9q2dxw",
    "record": "frame",
    "make": {"slug": "tarnvale", "name": "Tarnvale"},
    "model": {"slug": "skerry", "name": "Skerry"},
    "years": {"from": 2021, "to": 2023},
}
_VALUE: Final = {"mount": "hardware", "bolt_mm": 8, "width_mm": 22.2}
_UPPER: Final = {
    "standing": "settled",
    "advice": "sell",
    "supply": "stock",
    "value": {**_VALUE, "label": "M8 x 22.2"},
    "confidence": 0.9987,
    "basis": {"claims": 2, "independent": 2, "decision": "d-6t0z4c8wqe", "evidence_to": 2023},
    "checked_on": "2026-04-02",
    "model_version": "1.0.0+000000000000",
}
_UNKNOWN: Final = {"standing": "unknown", "advice": "do_not_sell", "basis": {"claims": 0, "independent": 0}}
_SHOCK: Final = {
    "standing": "provisional",
    "advice": "ask_first",
    "value": {"eye_to_eye_mm": 210, "stroke_mm": 55, "label": "210 x 55"},
    "basis": {"claims": 1, "independent": 1, "evidence_to": 2023},
    "checked_on": "2026-03-04",
}
FRAME: Final = {
    **_HEAD,
    "shock_size": _SHOCK,
    "ends": {"upper": _UPPER, "lower": _UNKNOWN},
    "cautions": list(SIZE_CAUTIONS),
    "event": 1042,
    "demo": True,
}
YEAR: Final = {
    "make": _HEAD["make"],
    "model": _HEAD["model"],
    "year": 2021,
    "outcome": "one",
    "frames": [FRAME],
    "cautions": list(SIZE_CAUTIONS),
    "event": 1042,
    "demo": True,
}
FRAMES: Final = {"frames": [FRAME]}
MAKES: Final = {"makes": [{"slug": "tarnvale", "name": "Tarnvale"}]}
MAKE: Final = {
    "slug": "tarnvale",
    "name": "Tarnvale",
    "models": [{"name": "Skerry", "slug": "skerry", "aliases": ["Skerry 150"], "years": [{"from": 2021, "to": 2023}]}],
}
_SENT: Final = {
    "kind": "spec_page",
    "url": "https://example.org/skerry-2021",
    "seen_on": "2026-03-04",
    "quote": "upper 22.2 x M8",
}
_KEPT: Final = {**_SENT, "document": "example.org/skerry-2021", "by": "p-4f7h2j9s1d"}
NEW_CLAIMS: Final = {
    "page": {"frame": _HEAD["id"], "subject": "upper", "value": _VALUE, "source": _SENT},
    "caliper": {
        "frame": _HEAD["id"],
        "subject": "upper",
        "source": {
            "kind": "measured",
            "seen_on": "2026-04-01",
            "instrument": {"kind": "digital_caliper", "resolution_mm": 0.01},
            "features": {"bolt": "sleeve_bore", "width": "hardware_width"},
            "readings_mm": {"bolt": [8.06], "width": [22.18, 22.19, 22.17]},
        },
    },
    "label": {
        "frame": _HEAD["id"],
        "subject": "upper",
        "label": "22,2 x 8 mm",
        "source": {"kind": "spec_page", "url": "https://example.org/skerry-2021", "seen_on": "2026-03-04"},
    },
    "shock_size": {
        "frame": _HEAD["id"],
        "subject": "shock_size",
        "value": {"eye_to_eye_mm": 210, "stroke_mm": 55},
        "source": _SENT,
    },
}
_CLAIM: Final = {"id": "c-9p4t1w6zke", "value": _VALUE, "source": _KEPT, "state": "submitted"}
_DECISION: Final = {
    "id": "d-6t0z4c8wqe",
    "on": "2026-04-02",
    "by": "p-1a9g5m7v2f",
    "ruling": "settle",
    "value": _VALUE,
    "rests_on": ["c-9p4t1w6zke"],
    "why": "the maker's own page, and nothing against it",
}
CLAIM: Final = {
    "frame": _HEAD["id"],
    "subject": "upper",
    "claim": _CLAIM,
    "review": {"id": "q-5b8n2v0ykm", "state": "open"},
}
CLAIMS: Final = {
    "frame": _HEAD["id"],
    "record": "frame",
    "subjects": {
        "shock_size": {"claims": [], "decisions": []},
        "upper": {"claims": [{**_CLAIM, "state": "accepted"}], "decisions": [_DECISION]},
        "lower": {"claims": [], "decisions": []},
    },
}
_EVENT: Final = {
    "event": 1042,
    "on": "2026-04-02",
    "kind": "decision_made",
    "frame": _HEAD["id"],
    "subject": "upper",
    "decision": "d-6t0z4c8wqe",
    "ruling": "settle",
    "value": _VALUE,
    "why": _DECISION["why"],
}
HISTORY: Final = {"frame": _HEAD["id"], "history": [_EVENT]}
CHANGES: Final = {"changes": [_EVENT], "next_since": 1042, "last": 1042}
LOOKUPS: Final = {
    "questions": [
        {"ref": "till 3", "frame": _HEAD["id"]},
        {"make": "Tarnvale", "model": "Skerry", "year": 2021},
        {"q": "tarnvale skery 2021"},
        {"bolt_mm": 8, "width_mm": 22.2},
    ]
}
LOOKUP_ANSWERS: Final = {"answers": [{"ref": "till 3", "outcome": "one", "frames": [FRAME]}]}
NEW_FRAME: Final = {
    "make": {"name": "Tarnvale"},
    "model": {"name": "Holm"},
    "years": {"from": 2024},
    "ends": ["upper", "lower"],
}
PROPOSAL: Final = {
    "frame": {
        **_HEAD,
        "model": {"slug": "holm", "name": "Holm"},
        "years": {"from": 2024},
        "ends": ["upper", "lower"],
        "listed": False,
    },
    "review": {"id": "q-5b8n2v0ykm", "state": "open"},
}
REASON: Final = {"why": "read from the wrong line of the page"}
NEW_REVIEW: Final = {"frame": _HEAD["id"], "subject": "upper", "why": "a customer's part did not go in"}
_REVIEW_HEAD: Final = {
    "id": "q-5b8n2v0ykm",
    "state": "open",
    "opened_on": "2026-04-01",
    "reasons": [{"code": "new_claim", "text": "A claim waits for a review."}],
    "frame": _HEAD["id"],
    "make": "tarnvale",
    "model": "skerry",
    "years": _HEAD["years"],
    "subject": "upper",
    "event": 1041,
    "stake": {"unsure": 15, "asked": 20},
}
_TABLE: Final = {
    "document": "a shop's chart, 2026",
    "claims": 240,
    "path": "/v1/document-reviews?document=a+shop%27s+chart%2C+2026",
}
REVIEWS: Final = {"reviews": [_REVIEW_HEAD], "documents": [_TABLE]}
REVIEW: Final = {
    **_REVIEW_HEAD,
    "asked": 3,
    "published": _UNKNOWN,
    "claims": [_CLAIM],
    "decisions": [],
    "contributors": {"p-4f7h2j9s1d": {"claims": {"accepted": 12, "submitted": 1}, "wrong": 0, "proven": True}},
    "siblings": [],
    "rule": {"held": ["too_few_confirm"]},
}
PREVIEW: Final = {
    "review": "q-5b8n2v0ykm",
    "subject": "upper",
    "before": _UNKNOWN,
    "after": _UPPER,
    "claims": [{"id": "c-9p4t1w6zke", "before": "submitted", "after": "accepted"}],
}
QUESTION: Final = {"question": "Were the spacers on when you measured the width?"}
ANSWER: Final = {"answer": "Yes, both; I measured over their outsides."}
DECISIONS: Final = {
    "settle": {"ruling": "settle", "value": _VALUE, "rests_on": ["c-9p4t1w6zke"], "why": _DECISION["why"]},
    "leave_open": {"ruling": "leave_open", "why": "the drawing can be read both ways"},
    "refuse_claims": {
        "ruling": "refuse_claims",
        "refuses": ["c-9p4t1w6zke"],
        "reason": "wrong_frame_or_year",
        "why": "another frame's page",
    },
    "withhold": {"ruling": "withhold", "why": "two parts did not go in; asking the maker"},
}
DECIDED: Final = {
    "decision": _DECISION,
    "review": {**REVIEW, "state": "closed", "event": 1042, "published": _UPPER, "decisions": [_DECISION]},
}
EDITS: Final = {
    "years": {"edit": "years", "years": {"from": 2021, "to": 2024}, "why": "the 2024 page shows the same frame"},
    "divide": {
        "edit": "divide",
        "parts": [
            {"qualifier": {"kind": "serial", "to": "TV2299999", "ask": "Does the serial number start with TV22?"}},
            {"qualifier": {"kind": "serial", "from": "TV2300000", "ask": "Does the serial number start with TV23?"}},
        ],
        "why": "the link changed in the middle of 2022",
    },
    "withdraw": {"edit": "withdraw", "why": "there was never such a frame"},
}
EDITED: Final = {"frames": [{**_HEAD, "years": {"from": 2021, "to": 2024}, "listed": True, "event": 1043}]}
_RELEASE: Final = {
    "version": "2026.04.0",
    "built_on": "2026-04-02",
    "event": 1042,
    "demo": True,
    "title": "Boltspan demo dataset",
    "licence": "CC0-1.0",
}
RELEASES: Final = {"releases": [_RELEASE]}
RELEASE: Final = {
    **_RELEASE,
    "schemas": {"frame": "1.0.0"},
    "files": [{
        "path": "answers.jsonl", "bytes": 1834, "media_type": "application/jsonl", "records": 1,
        "sha256": "5f70bf18a086007016e948b04aed3b82103a36bea41755b6cddfaf10ace3c6ef",
    }],
}  # fmt: skip
VOCABULARY: Final = {
    "cautions": {"torque_from_frame_maker": "Torque and thread-lock: the frame maker's values only."},
    "standings": {"settled": "A maintainer or the published rule has decided."},
    "advice": {"sell": "The value may be relied on."},
    "supply": {"stock": "The part can come from a shop's stock."},
    "mounts": {"trunnion": "The shock is bolted straight into the frame; no eyelet, no hardware."},
}
