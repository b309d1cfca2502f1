"""Fault 1: the process that takes in a chart is killed: nothing of the chart is there, and the rerun completes."""

from __future__ import annotations

import signal

import pytest

from boltspan.domain.charts.rows import ChartRow
from boltspan.services.charts import Outcome, import_chart
from boltspan.services.clock import SystemClock
from boltspan.services.permissions import COMMAND_LINE
from boltspan.storage import SqlStorage
from tests.charts.catalogue import plant_catalogue
from tests.faults.importing import messy_chart
from tests.faults.processes import started

EARLY, LATE, BEFORE_COMMIT = 40, 300, 0


def held(storage: SqlStorage) -> tuple[int, dict[str, int], list[str]]:
    """Return the last event, how many of each thing there are, and the frames that are only proposed."""
    with storage.reading() as uow:
        proposed = [s.frame.id for s in uow.catalogue.every_frame() if not s.listed]
        return uow.events.last(), uow.catalogue.count(), proposed


@pytest.mark.parametrize("moment", [EARLY, LATE, BEFORE_COMMIT])
def test_of_a_chart_whose_import_is_killed_nothing_is_there(
    storage: SqlStorage, migrated_url: str, moment: int
) -> None:
    with storage.writing() as uow:
        plant_catalogue(uow)
    before = held(storage)
    with started("tests.faults.importing", migrated_url, moment) as killed:
        killed.communicate(timeout=120)
    assert killed.returncode == -signal.SIGKILL
    assert held(storage) == before

    def tell(row: ChartRow, outcome: Outcome) -> None:
        """What becomes of each row is looked at elsewhere."""

    with storage.writing() as uow:
        report = import_chart(COMMAND_LINE, uow, SystemClock(), messy_chart(), tell)
    assert report.counts["added"] > 100
    last, _, proposed = held(storage)
    assert last > before[0]
    assert proposed
