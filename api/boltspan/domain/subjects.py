"""Records that claims are about, frames and shocks alike: their subjects, and the value of each."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from boltspan.domain.errors import InvalidInput
from boltspan.domain.frames import Frame, subject_named
from boltspan.domain.ids import is_id
from boltspan.domain.shock_values import SIZES, shock_end_from, shock_sizes_from
from boltspan.domain.shocks import Shock
from boltspan.domain.values import Value, value_from

Record = Frame | Shock
RECORD_KINDS: Final = ("frame", "shock")


def kind_of(record_id: str) -> str:
    """Return what an id names, "frame" or "shock"; "frame" for a text that is no id."""
    return "shock" if is_id("shock", record_id) else "frame"


def named(record_id: str) -> dict[str, str]:
    """Return the id under the name of its kind, as answers and events tell it: ``{"shock": "s-..."}``."""
    return {kind_of(record_id): record_id}


def subject_of(record: Record, name: str, pointer: str) -> str:
    """Return the subject of ``record`` that ``name`` means. Raises InvalidInput for none; see ``subject_named``."""
    if isinstance(record, Frame):
        return subject_named(record, name, pointer)
    if name in record.subjects:
        return name
    accepted = ", ".join(record.subjects)
    raise InvalidInput.one(pointer, "unknown_subject", "a shock has no such end", got=name, accepted=accepted)


def value_of_subject(record: Record, subject: str, data: Mapping[str, Any], pointer: str = "") -> Value:
    """Return the value in ``data`` for ``subject`` of ``record``. Raises InvalidInput with every problem found."""
    if isinstance(record, Frame):
        return value_from(subject, data, pointer)
    return shock_value_from(subject, data, pointer)


def shock_value_from(subject: str, data: Mapping[str, Any], pointer: str = "") -> Value:
    """Return the value in ``data`` for a ``subject`` of any shock. Raises InvalidInput with every problem found."""
    return shock_sizes_from(data, pointer) if subject == SIZES else shock_end_from(data, pointer)
