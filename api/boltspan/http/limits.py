"""Rate limits: policies, counters in memory, and the headers that tell them.

The header syntax follows draft-ietf-httpapi-ratelimit-headers and stands here only, since the draft still changes.
Look-ups and the bench are counted in each worker's memory, so that asking never writes; writes are counted in the
database, where every worker sees them.
"""

from __future__ import annotations

import ipaddress
import math
import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from boltspan.domain.errors import TooMany

WINDOW_S: Final = 60
SIGN_UP_WINDOW_S: Final = 3600
MOST_KEPT: Final = 100_000
"""Addresses counted one by one in a window; those beyond share one count, so that memory stays bounded."""


@dataclass(frozen=True, slots=True)
class Policy:
    """A quota of requests in a window."""

    name: str
    quota: int
    window_s: int = WINDOW_S

    @property
    def header(self) -> str:
        """The value of RateLimit-Policy."""
        return f'"{self.name}";q={self.quota};w={self.window_s}'


@dataclass(frozen=True, slots=True)
class Left:
    """What is left of a quota, and in how many seconds it is whole again."""

    policy: Policy
    remaining: int
    reset_s: int

    @property
    def header(self) -> str:
        """The value of RateLimit."""
        return f'"{self.policy.name}";r={self.remaining};t={self.reset_s}'


class OverLimit(TooMany):
    """A quota is used up; ``left`` says whose."""

    def __init__(self, left: Left) -> None:
        self.left = left
        policy = left.policy
        detail = f"more than {policy.quota} requests of kind {policy.name} in {policy.window_s} seconds"
        super().__init__(detail, left.reset_s)


def count(policy: Policy, hits: int, now_s: float) -> Left:
    """Return what is left after ``hits`` in the window that holds ``now_s``; raise OverLimit when it is too many."""
    reset = max(1, math.ceil(policy.window_s - now_s % policy.window_s))
    left = Left(policy, max(0, policy.quota - hits), reset)
    if hits > policy.quota:
        raise OverLimit(left)
    return left


class MemoryCounters:
    """Hits of each policy and address in the running window."""

    def __init__(self, now_s: Callable[[], float]) -> None:
        self._now_s = now_s
        self._lock = threading.Lock()
        self._windows: dict[str, tuple[int, dict[str, int]]] = {}

    def hit(self, policy: Policy, address: str) -> Left:
        """Count one request; return what is left or raise OverLimit."""
        now = self._now_s()
        window = int(now // policy.window_s)
        with self._lock:
            running, hits = self._windows.get(policy.name, (window, {}))
            if running != window:
                hits = {}
            self._windows[policy.name] = (window, hits)
            key = address if address in hits or len(hits) < MOST_KEPT else "others"
            hits[key] = hits.get(key, 0) + 1
            return count(policy, hits[key], now)


def caller(address: str | None) -> str:
    """Return what one caller is counted by: the IPv4 address, or the /64 network that one IPv6 subscriber has."""
    try:
        ip = ipaddress.ip_address(address or "")
    except ValueError:
        return "unknown"
    if isinstance(ip, ipaddress.IPv6Address) and ip.ipv4_mapped is None:
        return str(ipaddress.ip_network((ip, 64), strict=False).network_address)
    return str(getattr(ip, "ipv4_mapped", None) or ip)
