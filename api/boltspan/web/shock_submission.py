"""What a submission about a shock states: an end's kind and eyelet, or the sizes the shock is made in."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final

from boltspan.domain.problems import Problems
from boltspan.domain.shock_values import SIZES
from boltspan.domain.typed_lengths import typed_length

FIELDS: Final = ("eyelet_bore", "eyelet_width", "eyelet_outer", "bearings", "sizes", "only")
KINDS: Final = ("measured", "spec_page", "exploded_diagram", "manual", "maker_reply")
"""How somebody knows what a shock is, of ``submission.KINDS``."""
FIELD_OF: Final = {
    "/value/eyelet_bore_mm": "eyelet_bore",
    "/value/eyelet_width_mm": "eyelet_width",
    "/value/eyelet_outer_mm": "eyelet_outer",
    "/value/bearings": "bearings",
}
_BETWEEN: Final = re.compile(r"[;\n]|,(?=\s)")
_BY: Final = re.compile(r"\s*[x×*]\s*", re.IGNORECASE)


def stated(texts: Mapping[str, str], problems: Problems) -> dict[str, Any]:
    """Return the value that a form's texts state. What is no number, or missing, is added to ``problems``."""
    if texts.get("subject") == SIZES:
        value: dict[str, Any] = {"sizes": _sizes(texts.get("sizes", ""), problems)}
        return {"value": value | ({"only": True} if "only" in texts else {})}
    value = {name: texts[name] for name in ("mount", "bearings") if name in texts}
    for name in ("eyelet_bore", "eyelet_width", "eyelet_outer"):
        if name in texts:
            value[f"{name}_mm"] = problems.keep(lambda n=name: typed_length(texts[n], f"/{n}"))  # type: ignore[misc]
    if not value:
        problems.add(
            "/mount", "field_missing", "nothing is filled in", None, "the kind of mount, or a size of the eyelet"
        )
    return {"value": value}


def _sizes(text: str, problems: Problems) -> list[dict[str, Any]]:
    """Return the sizes in ``text``: each a length by a stroke, split by a comma and a blank, a semicolon or a line."""
    written = [part.strip() for part in _BETWEEN.split(text) if part.strip()]
    if not written:
        problems.add("/sizes", "field_missing", "no size is filled in", None, "length x stroke, such as 210 x 55")
    found = []
    for part in written:
        numbers = _BY.split(part)
        if len(numbers) != 2:
            accepted = "length x stroke, such as 210 x 55"
            problems.add("/sizes", "bad_size", "this is no size of a shock", part[:40], accepted)
            continue
        long, stroke = (problems.keep(lambda n=n: typed_length(n, "/sizes")) for n in numbers)  # type: ignore[misc]
        found.append({"eye_to_eye_mm": long, "stroke_mm": stroke})
    return found
