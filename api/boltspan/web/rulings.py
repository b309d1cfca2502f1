"""From the desk's forms to a ruling as the services take it, and from what is wrong with it back to the fields."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final

from boltspan.domain import jsontext
from boltspan.domain.errors import InvalidInput
from boltspan.domain.frames import Frame
from boltspan.domain.label_values import value_of_label
from boltspan.domain.problems import Problems
from boltspan.domain.shock_values import MOST_SIZES, SIZES
from boltspan.domain.subjects import Record
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
EYELET: Final = ("eyelet_bore", "eyelet_width", "eyelet_outer")
CARRIED: Final = (
    "ruling", "value", "label", "eye_to_eye", "stroke", "mount", "bearings", *EYELET, "sizes", "only", "reason",
    "reverses", "why", "match",
)  # fmt: skip
"""What a ruling's form carries from one step to the next, besides the claims that are ticked."""
_SIZE: Final = re.compile(r"\s*([0-9.]+)\s*[xX×]\s*([0-9.]+)\s*")
_TICKED: Final = re.compile(r"claim_(c-[0-9a-z]{10})")
_FIELD_OF: Final = {
    "/ruling": "ruling",
    "/value": "value",
    "/label": "label",
    "/eye_to_eye": "eye_to_eye",
    "/stroke": "stroke",
    "/value/eye_to_eye_mm": "eye_to_eye",
    "/value/stroke_mm": "stroke",
    "/value/mount": "mount",
    "/value/bearings": "bearings",
    "/value/sizes": "sizes",
    "/sizes": "sizes",
    **{f"{start}/{name}{end}": name for name in EYELET for start, end in (("/value", "_mm"), ("", ""))},
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
    if pointer.startswith(("/value/sizes/", "/sizes/")):
        return "sizes"
    start = "/" + pointer[1:].partition("/")[0]
    return _FIELD_OF.get(start) if start in ("/rests_on", "/refuses", "/overrules", "/value") else None


def ruling_data(
    fields: Mapping[str, str], record: Record, subject: str, allowing: Callable[[Mapping[str, Any]], Sequence[str]]
) -> dict[str, Any]:
    """Return the ruling that a form states on a subject of ``record``.

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
        value = _value(fields, record, subject)
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


def _value(fields: Mapping[str, str], record: Record, subject: str) -> dict[str, Any]:
    chosen = fields.get("value", "")
    if chosen == OTHER and subject == SHOCK_SIZE:
        return {f"{name}_mm": typed_length(fields.get(name, ""), f"/{name}") for name in ("eye_to_eye", "stroke")}
    if chosen == OTHER and isinstance(record, Frame):
        return value_json(value_of_label(record, subject, fields.get("label", "").strip(), "/label"))
    if chosen == OTHER:
        return _sizes(fields) if subject == SIZES else _shock_end(fields)
    found = jsontext.loads(chosen.encode()) if chosen else None
    if not isinstance(found, dict):
        raise InvalidInput.one("/value", "field_missing", "choose the value", got=chosen, accepted="one of those shown")
    return found


def _shock_end(fields: Mapping[str, str]) -> dict[str, Any]:
    """Return the end of a shock that is typed in; what is left empty is not stated."""
    found: dict[str, Any] = {name: fields[name] for name in ("mount", "bearings") if fields.get(name)}
    problems = Problems()
    for name in EYELET:
        if fields.get(name, "").strip():
            found[f"{name}_mm"] = problems.keep(lambda n=name: typed_length(fields[n], f"/{n}"))  # type: ignore[misc]
    problems.raise_any()
    return found


def _sizes(fields: Mapping[str, str]) -> dict[str, Any]:
    """Return the sizes of a shock that are typed in: length x stroke, one beside the other by commas or lines."""
    problems = Problems()
    found = []
    parts = [part.strip() for part in re.split(r"[,;\n]", fields.get("sizes", "")) if part.strip()]
    for part in parts[: MOST_SIZES + 1]:
        match = _SIZE.fullmatch(part)
        if match is None:
            problems.add("/sizes", "bad_size", "this is no size of a shock", part[:40], "length x stroke, as 210 x 55")
            continue
        found.append({
            key: problems.keep(lambda t=text: typed_length(t, "/sizes"))  # type: ignore[misc]
            for key, text in zip(("eye_to_eye_mm", "stroke_mm"), match.groups(), strict=True)
        })  # fmt: skip
    problems.raise_any()
    return {"sizes": found} | ({"only": True} if fields.get("only") else {})
