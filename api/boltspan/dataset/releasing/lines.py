"""One record a line: frames and shocks with all that is said of them, and the answers, found again by id."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any, BinaryIO, Final

from boltspan.dataset.contents import Dataset, FrameEntry, ShockEntry, as_files
from boltspan.dataset.layout import documents_of, frames_path, shocks_path
from boltspan.domain.frames import Model
from boltspan.domain.jsontext import dumps
from boltspan.domain.shocks import ShockModel

FRAMES_FILE: Final = "frames.jsonl"
SHOCKS_FILE: Final = "shocks.jsonl"
ANSWERS_FILE: Final = "answers.jsonl"
SHOCK_ANSWERS_FILE: Final = "shock_answers.jsonl"


def frame_line(model: Model, entry: FrameEntry) -> bytes:
    """Return a frame with its claims and decisions as one line, without claims that wait for a review.

    A line is what a record file with this frame alone would hold, so it keeps the schema of those (``frame/1``).
    """
    alone = as_files(Dataset("", "", demo=False, head=0, models=(model,), entries=(entry,)))
    return dumps(documents_of(alone)[frames_path(model.make, model.slug)]).encode() + b"\n"


def shock_line(model: ShockModel, entry: ShockEntry) -> bytes:
    """Return a shock with its claims and decisions as one line, as ``frame_line`` does (schema ``shock/1``)."""
    alone = as_files(Dataset("", "", demo=False, head=0, shock_models=(model,), shocks=(entry,)))
    return dumps(documents_of(alone)[shocks_path(model.make, model.slug)]).encode() + b"\n"


class SortedAnswers:
    """Takes answers in any order and writes them by id, keeping only their places in memory.

    ``spool`` is a file for the meantime; ``finish`` removes it.
    """

    def __init__(self, spool: Path) -> None:
        self._spool = spool
        self._file: BinaryIO = spool.open("wb")
        self._places: list[tuple[str, int, int]] = []

    def add(self, record_id: str, body: bytes) -> None:
        """Keep the answer for a frame or a shock. Raises ValueError when ``body`` is not just one line with its end."""
        if not body or body.find(b"\n") != len(body) - 1:
            raise ValueError(f"the answer for {record_id} is not one line")
        self._places.append((record_id, self._file.tell(), len(body)))
        self._file.write(body)

    def finish(self, target: Path) -> int:
        """Write all answers to ``target`` and return how many there are."""
        self._file.close()
        self._places.sort()
        with self._spool.open("rb") as kept, target.open("wb") as file:
            for _, start, size in self._places:
                kept.seek(start)
                file.write(kept.read(size))
        self._spool.unlink()
        return len(self._places)

    def close(self) -> None:
        """Close the meantime's file; nothing happens after ``finish``."""
        self._file.close()


def answers_in(path: Path) -> Iterator[tuple[str, bytes]]:
    """Yield id and line of each answer of an answers file, in its order: ascending by id."""
    with path.open("rb") as file:
        for line in file:
            yield _id_of(line), line


def find_answer(path: Path, frame_id: str) -> bytes | None:
    """Return the line of an answers file that answers for ``frame_id``, or None when none does.

    A search by halves over the bytes (the file is sorted by id): some twenty short reads in a file of a million lines,
    and nothing kept in memory.
    """
    with path.open("rb") as file:
        low, high = 0, file.seek(0, 2)
        while low < high:
            middle = (low + high) // 2
            start = _line_start(file, middle, low)
            file.seek(start)
            line = file.readline()
            found = _id_of(line)
            if found == frame_id:
                return line
            if found < frame_id:
                low = start + len(line)
            else:
                high = start
    return None


def _line_start(file: BinaryIO, inside: int, low: int) -> int:
    """Return where the line that holds byte ``inside`` starts; ``low`` is known to start a line."""
    step, end = 4096, inside
    while end > low:
        begin = max(low, end - step)
        file.seek(begin)
        if (at := file.read(end - begin).rfind(b"\n")) >= 0:
            return begin + at + 1
        end = begin
    return low


def _id_of(line: bytes) -> str:
    answer: dict[str, Any] = json.loads(line)  # whole lines only; the numbers in them are not looked at
    return str(answer["id"])
