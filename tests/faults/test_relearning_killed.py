"""The process that learns the evidence's rates anew is killed: no answer has changed, and the next run goes on."""

from __future__ import annotations

import signal
from dataclasses import replace

import pytest

from boltspan.domain.frames import Frame
from boltspan.services.snapshots import CURRENT
from boltspan.services.weighing import reweigh
from boltspan.storage import SqlStorage
from tests.domain.builders import SIZE, frame, measured, page, ruling
from tests.faults.processes import started
from tests.faults.relearning import LEARNING, PUBLISHING, SMALL_BATCH, WEIGHING, run
from tests.services.conftest import plant

OFF = {"bolt": ("sleeve_bore", "8.06"), "width": ("hardware_width", "22.40")}
FRAMES = 9


def planted(storage: SqlStorage) -> list[Frame]:
    """Plant frames whose page says 22.2 and whose one caliper reads 0.2 too much; the first is settled."""
    frames = [frame(number, start=1990 + number, end=1990 + number) for number in range(FRAMES)]
    with storage.writing() as uow:
        for n, of in enumerate(frames):
            claims = (page(10 * n + 1, SIZE, of=of), replace(measured(10 * n + 2, **OFF), frame=of.id))  # type: ignore[arg-type]
            plant(uow, of, claims=claims)
        settled = ruling(1, "settle", value=SIZE, rests_on=[1])
        uow.statements.add_decisions([replace(settled, frame=frames[0].id)])
        reweigh(uow, [f.id for f in frames])
    return frames


def answers(storage: SqlStorage) -> tuple[str | None, dict[str, bytes | None]]:
    with storage.reading() as uow:
        return uow.settings.get(CURRENT), {answer.path: answer.body for answer in uow.published.since(0)}


@pytest.mark.parametrize("moment", [LEARNING, WEIGHING, PUBLISHING])
def test_a_killed_run_changes_no_answer_and_the_next_one_goes_on(
    storage: SqlStorage, migrated_url: str, moment: str
) -> None:
    frames = planted(storage)
    before = answers(storage)
    with started("tests.faults.relearning", migrated_url, moment) as killed:
        killed.communicate(timeout=120)
    assert killed.returncode == -signal.SIGKILL
    assert answers(storage) == before
    draft, progress = run(storage)
    assert progress[0] == {LEARNING: 0, WEIGHING: 2 * SMALL_BATCH, PUBLISHING: FRAMES}[moment]
    assert progress[-1] == FRAMES
    current, after = answers(storage)
    assert (current, after != before[1]) == (draft, True)
    with storage.writing() as uow:  # weighed at one go it comes out as by the two runs
        ids = [f.id for f in frames]
        by_two_runs = uow.weighed.of_frames(draft, ids)
        reweigh(uow, ids)
        assert uow.weighed.of_frames(draft, ids) == by_two_runs
