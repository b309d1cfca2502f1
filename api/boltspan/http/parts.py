"""What the HTTP layer is made of, brought together once for each worker."""

from __future__ import annotations

import time
from dataclasses import dataclass

from boltspan.domain.hardware_sizes import HardwareSizes
from boltspan.http.limits import SIGN_UP_WINDOW_S, MemoryCounters, Policy
from boltspan.http.metrics import Metrics
from boltspan.http.paging import Cursors
from boltspan.http.published import Published
from boltspan.http.request_log import RequestIds, RequestLog
from boltspan.http.settings import HttpSettings
from boltspan.services.kept import Kept
from boltspan.services.name_cache import NameCache
from boltspan.services.protocols import Clock, Storage
from boltspan.services.shocks import hardware_sizes, shock_index
from boltspan.services.wanted import Unanswered


@dataclass(frozen=True, slots=True)
class Policies:
    """The kinds of requests that are counted."""

    lookup: Policy
    bench: Policy
    write: Policy
    sign_up: Policy
    report: Policy


@dataclass(frozen=True, slots=True)
class Parts:
    """Storage and clock as given, and what a worker keeps in memory. Making it opens nothing."""

    storage: Storage
    clock: Clock
    settings: HttpSettings
    policies: Policies
    counters: MemoryCounters
    published: Published
    names: NameCache
    shock_names: NameCache
    made: Kept[tuple[HardwareSizes, ...]]
    cursors: Cursors
    metrics: Metrics
    ids: RequestIds
    log: RequestLog
    unanswered: Unanswered


def make_parts(storage: Storage, clock: Clock, settings: HttpSettings) -> Parts:
    """Return the parts of one worker."""
    policies = Policies(
        Policy("lookup", settings.lookup_quota),
        Policy("bench", settings.bench_quota),
        Policy("write", settings.write_quota),
        Policy("sign_up", settings.sign_up_quota, SIGN_UP_WINDOW_S),
        Policy("report", settings.report_quota),
    )
    published = Published(storage, cap=settings.published_cap, fill=settings.published_fill, follow_s=settings.follow_s)
    return Parts(
        storage, clock, settings, policies, MemoryCounters(time.monotonic), published, NameCache(),
        NameCache(shock_index, ("make", "shock_model", "shock")), Kept(hardware_sizes, ("hardware",)), Cursors(storage),
        Metrics(), RequestIds(), RequestLog(settings.log), Unanswered(storage, clock),
    )  # fmt: skip
