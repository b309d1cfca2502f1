"""From the desk's forms to a ruling as the services take it, and from what is wrong with it back to the fields."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final

from boltspan.domain import jsontext
from boltspan.domain.errors import InvalidInput
from boltspan.domain.frames import Frame
from boltspan.domain.label_values import value_of_label
from boltspan.domain.typed_lengths import typed_length
from boltspan.domain.values import SHOCK_SIZE, value_json

RULINGS: Final = {
    "settle": "Settle the value",
    "leave_open": "Leave it open",
    "refuse_claims": "Rule out claims",
    "withhold": "Put it on hold",
    "reverse": "Undo a decision",
}
"""What a maintainer may do with a subject, in the order of the page."""
OTHER: Final = "other"
"""The choice of a size that no claim states as it is to be settled."""
CARRIED: Final = ("ruling", "value", "label", "eye_to_eye", "stroke", "reason", "reverses", "why", "match")
"""What a ruling's form carries from one step to the next, besides the claims that are ticked."""
_TICKED: Final = re.compile(r"claim_(c-[0-9a-z]{10})")
_FIELD_OF: Final = {
    "/ruling": "ruling",
    "/value": "value",
    "/label": "label",
    "/eye_to_eye": "eye_to_eye",
    "/stroke": "stroke",
    "/value/eye_to_eye_mm": "eye_to_eye",
    "/value/stroke_mm": "stroke",
    "/rests_on": "claims",
    "/refuses": "claims",
    "/overrules": "claims",
    "/reason": "reason",
    "/reverses": "reverses",
    "/why": "why",
}


def ticked(fields: Mapping[str, str]) -> list[str]:
    """Return the ids of the claims that are ticked in a form."""
    return [match[1] for name in fields if (match := _TICKED.fullmatch(name))]


def carried(fields: Mapping[str, str]) -> dict[str, str]:
    """Return what of a ruling's form goes with it to the next step."""
    kept = {name: fields[name] for name in CARRIED if fields.get(name, "").strip()}
    return kept | {f"claim_{claim}": "yes" for claim in ticked(fields)}


def field_of(pointer: str) -> str | None:
    """Return the form's field that a problem with a ruling belongs to; None for one of the whole."""
    if pointer in _FIELD_OF:
        return _FIELD_OF[pointer]
    start = "/" + pointer[1:].partition("/")[0]
    return _FIELD_OF.get(start) if start in ("/rests_on", "/refuses", "/overrules", "/value") else None


def ruling_data(
    fields: Mapping[str, str], frame: Frame, subject: str, allowing: Callable[[Mapping[str, Any]], Sequence[str]]
) -> dict[str, Any]:
    """Return the ruling that a form states on a subject of ``frame``.

    A settled value is one of those offered, as JSON, or another one that is typed in. It rests on the claims that are
    ticked; when none is, on those that ``allowing`` returns for it. Raises InvalidInput, naming the fields.
    """
    ruling = fields.get("ruling", "")
    if ruling not in RULINGS:
        raise InvalidInput.one(
            "/ruling", "unknown_ruling", "choose what you rule", got=ruling, accepted=", ".join(RULINGS)
        )
    data: dict[str, Any] = {"ruling": ruling, "why": fields.get("why", "").strip()}
    if ruling == "settle":
        value = _value(fields, frame, subject)
        data |= {"value": value, "rests_on": ticked(fields) or allowing(value)}
        if not data["rests_on"]:
            raise InvalidInput.one(
                "/value", "rests_on_nothing", "no claim that counts says this, so there is nothing to rest it on",
                got=value, accepted="a value that a claim allows; what you know yourself, send as a claim",
            )  # fmt: skip
    elif ruling == "refuse_claims":
        data |= {"refuses": ticked(fields), "reason": fields.get("reason", "")}
        if not data["refuses"]:
            raise InvalidInput.one("/refuses", "field_missing", "no claim is ticked", accepted="one claim or more")
    elif ruling == "reverse":
        data["reverses"] = fields.get("reverses", "")
    return data


def _value(fields: Mapping[str, str], frame: Frame, subject: str) -> dict[str, Any]:
    chosen = fields.get("value", "")
    if chosen == OTHER and subject == SHOCK_SIZE:
        return {f"{name}_mm": typed_length(fields.get(name, ""), f"/{name}") for name in ("eye_to_eye", "stroke")}
    if chosen == OTHER:
        return value_json(value_of_label(frame, subject, fields.get("label", "").strip(), "/label"))
    found = jsontext.loads(chosen.encode()) if chosen else None
    if not isinstance(found, dict):
        raise InvalidInput.one("/value", "field_missing", "choose the value", got=chosen, accepted="one of those shown")
    return found
