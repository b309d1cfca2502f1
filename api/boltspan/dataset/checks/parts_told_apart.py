"""The parts of a divided record are frames, or shocks, of its model, each with a qualifier.

The qualifier's question is all that a customer with such a bike can be asked.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from boltspan.dataset.placed import Records
from boltspan.dataset.problems import Problem

CODE: Final = "part"
NAME: Final = "parts are told apart"


def find(records: Records) -> Iterator[Problem]:
    """Yield a problem for each part without a qualifier, and for each that belongs to another model."""
    made = {m.record.id: m for m in records.made}
    for placed in records.made:
        whole = placed.record
        parts = [made[i] for i in whole.into if i in made] if whole.record == "divided" else []
        for part in parts:
            if (part.record.make, part.record.model) != (whole.make, whole.model):
                detail = f"this is a part of {whole.id}, which is of another model"
                yield Problem(part.path, part.pointer, CODE, detail, part.record.model, whole.model)
            if part.record.qualifier is None and part.record.live:
                detail = f"this is a part of {whole.id}; a part says what tells it apart"
                yield Problem(part.path, f"{part.pointer}/qualifier", CODE, detail, accepted="a qualifier")
