"""Wanted frames: questions that nobody could answer, counted coarsely and without anything about who asked."""

from __future__ import annotations

import threading
import time
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final

from boltspan.domain.errors import InvalidInput, StorageFull, Unavailable
from boltspan.domain.names import name, slug_of
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Clock, Storage, UnitOfWork

MOST_KEPT: Final = 20_000
"""Different questions that are kept; a new one beyond these is not."""
MOST_WAITING: Final = 500
"""Different questions that a worker holds before it writes them down."""
WRITE_EVERY_S: Final = 30.0
UNKNOWN_NAME: Final = "unknown_name"
"""Kind of what was asked for by a text that means nothing known; the text itself is not kept."""


def frame_key(frame_id: str) -> str:
    """Return what a known frame without a whole answer is counted under."""
    return f"frame {frame_id}"


def question_key(make: str, model: str, year: int | None) -> str:
    """Return what a make, model and year are counted under: spelling, case and marks make no difference."""
    return f"{slug_of(make)} {slug_of(model)} {year or ''}".strip()


def want_frame(uow: UnitOfWork, clock: Clock, data: Mapping[str, Any]) -> dict[str, Any]:
    """Count a wish for a frame and return what was counted. ``data`` has make and model and may have a year.

    Raises InvalidInput for names that are none.
    """
    what: dict[str, Any] = {"make": name(data.get("make"), "/make"), "model": name(data.get("model"), "/model")}
    if "year" in data:
        what["year"] = data["year"]
    count(uow, clock, {question_key(what["make"], what["model"], what.get("year")): (what, 1)})
    return {"wanted": what}


def count(uow: UnitOfWork, clock: Clock, questions: Mapping[str, tuple[dict[str, Any], int]]) -> None:
    """Count questions, each by its key, with what was asked and how often; new ones only while there is room."""
    known = uow.wanted.asked(list(questions))
    room = MOST_KEPT - uow.wanted.kept() if len(known) < len(questions) else 0
    for key, (what, times) in questions.items():
        if key not in known:
            if room <= 0:
                continue
            room -= 1
        uow.wanted.count(key, what, times, clock.today())


def wanted_frames(actor: Actor, uow: UnitOfWork, limit: int) -> dict[str, Any]:
    """Return what is asked for and not answered, the most asked first."""
    actor.must("see_reviews")
    return {
        "wanted": [
            {**w.what, "asked": w.asked, "first_on": w.first_on, "last_on": w.last_on}
            for w in uow.wanted.most_asked(limit)
        ]
    }


def unanswered(
    questions: Sequence[Mapping[str, Any]], answers: Sequence[Mapping[str, Any]]
) -> list[tuple[str, dict[str, Any]]]:
    """Return what found no answer to sell by, each with its key: a frame with an end nobody knows, or no frame at all.

    A text is not kept, since people write more into it than a name; a size alone asks for no frame.
    """
    found: list[tuple[str, dict[str, Any]]] = []
    for question, answer in zip(questions, answers, strict=True):
        if answer["outcome"] == "one":
            frame = answer["frames"][0]
            if any(end["standing"] in ("unknown", "disputed") for end in frame["ends"].values()):
                found.append((frame_key(frame["id"]), {"frame": frame["id"]}))
        elif answer["outcome"] == "unknown" and "make" in question:
            found += [counted] if (counted := of_model(question)) is not None else []
    return found


def not_found(query: Mapping[str, Any], meant: Mapping[str, Any] | None) -> tuple[str, dict[str, Any]] | None:
    """Return what a search for frames that found none is counted under, or None when it asked for no frame.

    ``meant`` is what its text surely means (``FramePage.meant``), None without a text; of a text that means nothing
    known only the year is kept. A search by size, mount or standing asks for no frame.
    """
    if any(key in query for key in ("bolt_mm", "width_mm", "mount", "standing")):
        return None
    asked = dict(meant) if meant is not None else {k: query[k] for k in ("make", "model", "year") if k in query}
    if meant is not None and "model" not in asked:
        return f"? {asked.get('year', '')}".strip(), {"kind": UNKNOWN_NAME} | asked
    return of_model(asked)


def of_model(asked: Mapping[str, Any]) -> tuple[str, dict[str, Any]] | None:
    """Return what a question for a make, model and perhaps a year is counted under; None when it names no model."""
    what = _named(asked)
    return None if what is None else (question_key(what["make"], what["model"], what.get("year")), what)


def _named(question: Mapping[str, Any]) -> dict[str, Any] | None:
    """Return make, model and year of a question; None when they are no names that may be kept."""
    try:
        what: dict[str, Any] = {
            "make": name(question.get("make"), "/make"), "model": name(question.get("model"), "/model"),
        }  # fmt: skip
    except InvalidInput:
        return None
    return what | ({"year": question["year"]} if "year" in question else {})


class Unanswered:
    """Questions that a worker could not answer, held in memory and written down together now and then.

    Asking must not wait for a write: a full disk or a database that is away loses counts, never an answer.
    """

    def __init__(self, storage: Storage, clock: Clock, now_s: Callable[[], float] = time.monotonic) -> None:
        self._storage, self._clock, self._now_s = storage, clock, now_s
        self._lock = threading.Lock()
        self._counts: Counter[str] = Counter()
        self._asked: dict[str, dict[str, Any]] = {}
        self._written_s = now_s()

    def note(self, counted: tuple[str, Mapping[str, Any]] | None) -> None:
        """Count one question by its key, with what was asked; write all down when it is time. None counts nothing."""
        if counted is None:
            return
        key, what = counted
        with self._lock:
            if key not in self._asked and len(self._asked) >= MOST_WAITING:
                return
            self._counts[key] += 1
            self._asked.setdefault(key, dict(what))
            due = self._now_s() - self._written_s >= WRITE_EVERY_S
        if due:
            self.write()

    def write(self) -> None:
        """Write down what was counted. What cannot be written is let go."""
        with self._lock:
            counts, asked = self._counts, self._asked
            self._counts, self._asked, self._written_s = Counter(), {}, self._now_s()
        if not asked:
            return
        try:
            with self._storage.writing() as uow:
                count(uow, self._clock, {key: (what, counts[key]) for key, what in asked.items()})
        except (Unavailable, StorageFull):
            return
