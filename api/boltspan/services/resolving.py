"""Resolving claims that come as one document, outside any database; nobody needs to be signed in for it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from boltspan.domain.errors import InvalidInput
from boltspan.evidence import EvidenceInputError, resolve


def resolve_document(document: Mapping[str, Any]) -> dict[str, Any]:
    """Return the model's version and one result for each end of ``document`` (catalogue, ends, claims).

    Raises InvalidInput, with a message that names the row (a claim by its claim_id), for input that cannot be resolved.
    """
    try:
        return resolve(document)
    except EvidenceInputError as error:
        raise InvalidInput.one("", "unresolvable", str(error)) from error
