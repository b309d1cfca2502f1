"""Ids of invented records: of the right shape, no two alike, and of no more meaning than minted ones."""

from __future__ import annotations

from typing import Final

from boltspan.domain.ids import ALPHABET, KINDS, LENGTH

_COUNT: Final = len(ALPHABET) ** LENGTH
_STEP: Final = 946_600_237_119_641
"""Without a divisor in common with 33 ** 10, so that every number has an id of its own."""
MOST_OF_FRAME: Final = 1000
"""Claims and decisions of one frame are numbered below this."""


def numbered_id(kind: str, seed: int, number: int) -> str:
    """Return the id of the ``number``-th record of ``kind`` in world ``seed``."""
    place = (seed * 7_919 + 17 + (number + 1) * _STEP) % _COUNT
    digits = []
    for _ in range(LENGTH):
        place, digit = divmod(place, len(ALPHABET))
        digits.append(ALPHABET[digit])
    return f"{KINDS[kind]}-{''.join(digits)}"


def statement_id(kind: str, seed: int, frame: int, place: int) -> str:
    """Return the id of claim or decision ``place`` of frame number ``frame``."""
    return numbered_id(kind, seed, frame * MOST_OF_FRAME + place)
