"""Ids: opaque, random, minted offline, prefixed by kind, never reused, never derived from content."""

from __future__ import annotations

import re
import secrets
from typing import Final

from boltspan.domain.errors import InvalidInput

ALPHABET: Final = "0123456789abcdefghjkmnpqrstuvwxyz"
"""Digits and lower-case letters without i, l and o, which are misread from a printed sheet."""
LENGTH: Final = 10
"""33 ** 10 is 1.5e15: a million ids meet by chance once in three thousand datasets."""
KINDS: Final = {
    "frame": "f",
    "claim": "c",
    "decision": "d",
    "person": "p",
    "shock": "s",
    "release": "r",
    "review": "q",
    "question": "n",
    "flag": "g",
    "hardware": "h",
}
RULE_AUTHOR: Final = "rule/1"
"""Author of what the published rule settles; it stands where a person's id would."""
_SHAPE: Final = {kind: re.compile(rf"{letter}-[{ALPHABET}]{{{LENGTH}}}") for kind, letter in KINDS.items()}


def mint(kind: str) -> str:
    """Return a new random id of ``kind`` (a key of KINDS), such as ``f-7k3m9q2dxw``."""
    return f"{KINDS[kind]}-" + "".join(secrets.choice(ALPHABET) for _ in range(LENGTH))


def pattern(kind: str) -> str:
    """Return the regular expression of an id of ``kind``, anchored, for schemas."""
    return f"^{_SHAPE[kind].pattern}$"


def is_id(kind: str, text: str) -> bool:
    """Return whether ``text`` has the shape of an id of ``kind``."""
    return _SHAPE[kind].fullmatch(text) is not None


def check_id(kind: str, value: object, pointer: str) -> str:
    """Return ``value`` when it is an id of ``kind``; raise InvalidInput naming ``pointer`` otherwise."""
    if isinstance(value, str) and is_id(kind, value):
        return value
    raise InvalidInput.one(
        pointer,
        "bad_id",
        f"this is no {kind} id",
        got=value,
        accepted=f"{KINDS[kind]}- and ten of {ALPHABET}",
    )
