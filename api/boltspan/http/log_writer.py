"""Makes and writes log lines a few times a second instead of once a request.

Making a line and a system call for it cost more than a ready answer itself, and make threads wait for each other. Lines
that were not yet written when the process is killed are lost; what the lines tell of is not.
"""

from __future__ import annotations

import atexit
import os
import threading
from collections import deque
from collections.abc import Callable
from typing import Any, Final

EVERY_S: Final = 0.2
MOST_LINES: Final = 2000
"""With more lines waiting than this, whoever adds the next one writes them."""


class LogWriter:
    """Takes lines and writes them in order. Its thread starts with the first line, so a fork is no matter."""

    def __init__(self, descriptor: int = 2) -> None:
        self._descriptor = descriptor
        self._waiting: deque[tuple[Callable[..., bytes], tuple[Any, ...]]] = deque()
        self._writing = threading.Lock()
        self._starting = threading.Lock()
        self._started = False

    def __call__(self, line: bytes) -> None:
        """Take a finished line."""
        self.later(bytes, line)

    def later(self, make: Callable[..., bytes], *parts: Any) -> None:
        """Take a line that ``make(*parts)`` returns when it is written; nothing waits for a lock here."""
        self._waiting.append((make, parts))
        if not self._started:
            self._start()
        if len(self._waiting) > MOST_LINES:
            self.flush()

    def flush(self) -> None:
        """Write what waits. Never raises: a log that cannot be written stops no request."""
        with self._writing:
            lines = []
            while self._waiting:
                make, parts = self._waiting.popleft()
                lines.append(make(*parts))
            try:
                if lines:
                    os.write(self._descriptor, b"".join(lines))
            except OSError:
                return

    def _start(self) -> None:
        with self._starting:
            if not self._started:
                self._started = True
                atexit.register(self.flush)
                threading.Thread(target=self._run, name="log", daemon=True).start()

    def _run(self) -> None:
        pause = threading.Event()
        while not pause.wait(EVERY_S):
            if self._waiting:
                self.flush()
