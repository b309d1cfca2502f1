"""The index of findings: what look-ups by size and standing need of them. Derived; the claims and decisions rule."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, delete, func, select

from boltspan.domain.findings import STANDINGS, Finding
from boltspan.domain.values import EndValue
from boltspan.storage.queries import Queries
from boltspan.storage.tables import findings
from boltspan.storage.value_columns import nm


class SqlFindings(Queries):
    """The index of findings. ``indexed`` counts the frames indexed anew in this unit of work."""

    def __init__(self, connection: Connection) -> None:
        super().__init__(connection)
        self.indexed = 0

    def put(self, frame_id: str, findings_: Sequence[Finding]) -> None:
        """Replace all that is indexed of the frame; nothing given clears it. Raises Clash without such a frame."""
        self.indexed += 1
        self._connection.execute(delete(findings).where(findings.c.frame == frame_id))
        self._add(findings, [_row(frame_id, finding) for finding in findings_])

    def count_by_standing(self) -> dict[str, int]:
        """Return how many subjects have each standing, 0 included."""
        subjects = func.count().label("subjects")
        rows = self._all(select(findings.c.standing, subjects).group_by(findings.c.standing))
        return dict.fromkeys(STANDINGS, 0) | {row.standing: row.subjects for row in rows}


def _row(frame_id: str, finding: Finding) -> dict[str, Any]:
    end = finding.value if isinstance(finding.value, EndValue) else EndValue()
    return {
        "frame": frame_id,
        "subject": finding.subject,
        "standing": finding.standing,
        "mount": end.mount,
        "bolt_nm": nm(end.bolt_mm),
        "width_nm": nm(end.width_mm),
    }
