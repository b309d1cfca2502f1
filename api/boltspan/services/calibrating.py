"""The calibration report on claims whose true answers are known; nobody needs to be signed in for it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from boltspan.domain.errors import InvalidInput
from boltspan.evidence import EvidenceInputError, calibrate

DRAWS: Final = 400
"""Bootstrap draws behind each interval: enough for its ends to two digits (judgement)."""
SEED: Final = 20260401
"""Of the draws, so that one set gives one report."""


def calibration_report(document: Mapping[str, Any], *, draws: int = DRAWS, seed: int = SEED) -> dict[str, Any]:
    """Return how right and how sure the model and its baselines are on ``document`` (catalogue, ends, claims, answers).

    Raises InvalidInput, with a message that names the row and the field, for input that cannot be used.
    """
    try:
        return calibrate(document, draws=draws, seed=seed)
    except EvidenceInputError as error:
        raise InvalidInput.one("", "unresolvable", str(error)) from error
