"""The make that a model names has a file of its own.

A model without its make would answer under a slug that nobody can spell out.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from boltspan.dataset.layout import make_path
from boltspan.dataset.placed import Placed, Records
from boltspan.dataset.problems import Problem, nearest
from boltspan.domain.frames import Model
from boltspan.domain.shocks import ShockModel

CODE: Final = "make"
NAME: Final = "makes are known"


def find(records: Records) -> Iterator[Problem]:
    """Yield a problem for each model whose make has no file."""
    known = [m.record.slug for m in records.makes]
    models: list[Placed[Model] | Placed[ShockModel]] = [*records.models]
    for model in (*models, *records.shock_models):
        slug = model.record.make
        if slug not in known and make_path(slug) not in records.paths:
            detail = f"there is no {make_path(slug)}"
            yield Problem(
                model.path, "/make", CODE, detail, slug, "the slug of a make with a file", nearest(slug, known)
            )
