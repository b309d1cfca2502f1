"""Counters of requests by route template, in the text format that monitoring systems read.

One worker counts for itself; its process id stands in every sample, since a scrape meets one worker at a time.
"""

from __future__ import annotations

import os
import threading
from bisect import bisect_left
from collections import deque
from typing import Final

BUCKETS_S: Final = (0.0005, 0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5)
MOST_RECENT: Final = 1000
CONTENT_TYPE: Final = "text/plain; version=0.0.4; charset=utf-8"


class Metrics:
    """Requests and their durations since this worker started."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._recent: deque[tuple[str, str, str, float, bool]] = deque()
        self._counts: dict[tuple[str, str, str], int] = {}
        self._times: dict[str, list[int]] = {}
        self._seconds: dict[str, float] = {}
        self._ready_hits = 0

    @property
    def ready_hits(self) -> int:
        """How many requests were answered from memory."""
        self._add_up()
        return self._ready_hits

    def count(self, method: str, route: str, status: str, seconds: float, *, ready: bool = False) -> None:
        """Count one request; ``ready`` when it was answered from memory. It is added up later, so that none waits."""
        self._recent.append((method, route, status, seconds, ready))
        if len(self._recent) > MOST_RECENT:
            self._add_up()

    def _add_up(self) -> None:
        with self._lock:
            while self._recent:
                method, route, status, seconds, ready = self._recent.popleft()
                key = (method, route, status)
                self._counts[key] = self._counts.get(key, 0) + 1
                times = self._times.get(route)
                if times is None:
                    times = self._times[route] = [0] * (len(BUCKETS_S) + 1)
                    self._seconds[route] = 0.0
                times[bisect_left(BUCKETS_S, seconds)] += 1
                self._seconds[route] += seconds
                self._ready_hits += ready

    def text(self) -> str:
        """Return all samples, sorted."""
        self._add_up()
        worker = f'worker="{os.getpid()}"'
        with self._lock:
            counts, times = dict(self._counts), {k: list(v) for k, v in self._times.items()}
            seconds, ready = dict(self._seconds), self._ready_hits
        lines = ["# HELP boltspan_requests_total Requests answered.", "# TYPE boltspan_requests_total counter"]
        for (method, route, status), n in sorted(counts.items()):
            labels = f'method="{method}",route="{route}",status="{status}",{worker}'
            lines.append(f"boltspan_requests_total{{{labels}}} {n}")
        lines += [
            "# HELP boltspan_ready_hits_total Requests answered from memory.",
            "# TYPE boltspan_ready_hits_total counter",
            f"boltspan_ready_hits_total{{{worker}}} {ready}",
            "# HELP boltspan_request_seconds Time to answer.",
            "# TYPE boltspan_request_seconds histogram",
        ]
        for route, buckets in sorted(times.items()):
            so_far = 0
            for bound, n in zip((*map(str, BUCKETS_S), "+Inf"), buckets, strict=True):
                so_far += n
                lines.append(f'boltspan_request_seconds_bucket{{route="{route}",{worker},le="{bound}"}} {so_far}')
            lines.append(f'boltspan_request_seconds_sum{{route="{route}",{worker}}} {seconds[route]:.6f}')
            lines.append(f'boltspan_request_seconds_count{{route="{route}",{worker}}} {so_far}')
        return "\n".join(lines) + "\n"
