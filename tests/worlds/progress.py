"""A bar on the terminal for work that takes minutes; nothing where nobody looks."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterable, Iterator
from typing import Final, TextIO, TypeVar

T = TypeVar("T")
WIDTH: Final = 30
EVERY_S: Final = 0.2


def shown(
    items: Iterable[T], total: int, of_what: str, *, size: Callable[[T], int], out: TextIO | None = None
) -> Iterator[T]:
    """Yield ``items`` and keep a bar on ``out`` (standard error by default) up to date while it is a terminal.

    ``size`` tells how much of ``total`` an item is.
    """
    out = sys.stderr if out is None else out
    if not out.isatty():
        yield from items
        return
    started = time.monotonic()
    due = started
    done = 0
    for item in items:
        yield item
        done += size(item)
        if (now := time.monotonic()) >= due:
            out.write("\r" + line(done, total, of_what, now - started))
            out.flush()
            due = now + EVERY_S
    out.write("\r" + line(done, total, of_what, time.monotonic() - started) + "\n")
    out.flush()


def line(done: int, total: int, of_what: str, seconds: float) -> str:
    """Return the bar as one line: how much is done, how fast, and how long the rest will take."""
    part = min(1.0, done / total) if total else 1.0
    full = int(WIDTH * part)
    rate = done / seconds if seconds else 0.0
    left = f"{(total - done) / rate:,.0f} s left" if rate and done < total else f"{seconds:,.0f} s"
    return f"[{'#' * full}{'.' * (WIDTH - full)}] {part:4.0%} {done:,} of {total:,} {of_what}, {rate:,.0f}/s, {left}   "
