"""A small invented catalogue with people in it, planted straight into a database, and the claims they send."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

from boltspan.domain.frames import Frame
from boltspan.services.accounts import issue_token
from boltspan.services.answers import ANSWERS_VERSION
from boltspan.services.clock import SystemClock
from boltspan.services.protocols import Clock, Storage
from tests.domain.builders import frame
from tests.services.conftest import plant

FRAMES: Final = tuple(f"f-{number:010d}" for number in range(1, 9))
SPARE: Final = ("f-0000000009", "f-0000000010")
"""Two frames of a model that no writer writes to."""
LEAVING: Final = "f-0000000011"
"""A frame to be withdrawn, alone of its model."""
SUBJECTS: Final = ("upper", "lower")
WRITERS: Final = ("ann", "ben", "cam", "dot")
REVIEWERS: Final = ("mia", "max")
SEEN_ON: Final = "2025-01-02"


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody with a token: its text and their id."""

    token: str
    id: str

    @property
    def authorization(self) -> dict[str, str]:
        """Return the header that says who asks."""
        return {"Authorization": f"Bearer {self.token}"}


def frames() -> list[Frame]:
    """Return eleven frames, two of each model and the leaving one."""
    made = []
    for number in range(1, len(FRAMES + SPARE) + 2):
        start = 2021 if number % 2 else 2024
        made.append(replace(frame(number, start=start, end=start + 2), model=f"skerry-{(number + 1) // 2}"))
    return made


def settle_in(storage: Storage, clock: Clock | None = None) -> dict[str, Person]:
    """Plant the catalogue and four writers and two maintainers, and return these by handle."""
    people = {}
    with storage.writing() as uow:
        for name, value in (("title", "Invented"), ("licence", "CC0-1.0"), ("demo", "true")):
            uow.settings.put(name, value)
        plant(uow, *frames())
        for role, handles in (("contributor", WRITERS), ("maintainer", REVIEWERS)):
            for handle in handles:
                issued = issue_token(uow, clock or SystemClock(), role=role, handle=handle, days=3650)
                people[handle] = Person(issued.text, issued.person)
        uow.settings.put("answers_version", ANSWERS_VERSION)
    return people


def claim(document: str, frame_id: str = FRAMES[0], subject: str = "upper", width_mm: Any = 22) -> dict[str, Any]:
    """Return what a contributor sends about an end, from a document of its own."""
    return {
        "frame": frame_id,
        "subject": subject,
        "value": {"mount": "hardware", "bolt_mm": 8, "width_mm": width_mm},
        "source": {"kind": "spec_page", "document": document, "seen_on": SEEN_ON},
    }


def proposal() -> dict[str, Any]:
    """Return what a contributor sends to propose a frame of a model that nobody knows."""
    return {
        "make": {"name": "Fellrook"},
        "model": {"name": f"Corrie {uuid.uuid4().hex[:8]}"},
        "years": {"from": 2024},
        "ends": ["front", "rear"],
    }


def spread(number: int, of: Sequence[str] = FRAMES) -> tuple[str, str]:
    """Return the frame and the end that the n-th claim is about, so that all get some."""
    return of[number % len(of)], SUBJECTS[number // len(of) % 2]
