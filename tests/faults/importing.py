"""Takes in the messy chart in a process of its own, which kills itself at a given outcome, or just before the commit.

    python -m tests.faults.importing URL OUTCOME

``OUTCOME`` counts from 1; 0 is the moment before the commit, when everything is written.
"""

from __future__ import annotations

import itertools
import os
import signal
import sys

from boltspan.domain.charts.rows import ChartRow
from boltspan.services.charts import Chart, Outcome, import_chart
from boltspan.services.clock import SystemClock
from boltspan.services.permissions import COMMAND_LINE
from boltspan.storage import SqlStorage, make_engine
from tests.charts.catalogue import MESSY

DOCUMENT = "wall chart"
PERSON = "p-000000000a"


def messy_chart() -> Chart:
    """Return the messy chart as this process and its test bring it, its unknown frames proposed."""
    raw = MESSY.read_bytes()
    return Chart(lambda: [raw], DOCUMENT, PERSON, propose=True)


def main() -> None:
    """Bring the chart and die."""
    url, at = sys.argv[1], int(sys.argv[2])
    outcomes = itertools.count(1)

    def tell(row: ChartRow, outcome: Outcome) -> None:
        if next(outcomes) == at:
            os.kill(os.getpid(), signal.SIGKILL)

    with SqlStorage(make_engine(url), SystemClock()).writing() as uow:
        import_chart(COMMAND_LINE, uow, SystemClock(), messy_chart(), tell)
        os.kill(os.getpid(), signal.SIGKILL)


if __name__ == "__main__":
    main()
