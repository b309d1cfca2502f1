"""Shocks and hardware sizes looked up: by name and year, one with what its answer rests on, what is produced."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from boltspan.domain.cautions import SIZE_CAUTIONS
from boltspan.domain.fields import years_json
from boltspan.domain.findings import Finding, for_year
from boltspan.domain.frames import Make
from boltspan.domain.hardware_sizes import HardwareSizes, Produced, hardware_sizes_json, produced
from boltspan.domain.lengths import same_size
from boltspan.domain.records import qualifier_json
from boltspan.domain.shock_records import sold_with_json
from boltspan.domain.shock_values import SIZES
from boltspan.domain.shocks import SHOCK_ENDS, Shock, ShockModel
from boltspan.services import lookup
from boltspan.services.answers import finding_answer
from boltspan.services.names import NameIndex, years_in
from boltspan.services.permissions import ANYBODY, Actor
from boltspan.services.protocols import ShockQuery, StoredShock, UnitOfWork
from boltspan.services.publishing import findings_of, is_demo


@dataclass(frozen=True, slots=True)
class FoundShock:
    """A live shock with its names and findings: on ``sizes`` a ShockSizes, on ``body`` and ``shaft`` a ShockEnd."""

    shock: Shock
    make: Make
    model: ShockModel
    findings: Mapping[str, Finding]
    sequence: int
    listed: bool = True


@dataclass(frozen=True, slots=True)
class ShockPage:
    """Shocks found, and the order key to go on after (None when these were the last)."""

    shocks: list[dict[str, Any]]
    after: tuple[str, str, int, str] | None


def find_shock(uow: UnitOfWork, shock_id: str, actor: Actor = ANYBODY) -> FoundShock:
    """Return a shock and what is found on its subjects.

    Raises NotFound for none, and for a proposal when neither its author nor a maintainer asks; Moved for a merged one,
    Gone (with the ids to ask instead) for a divided or withdrawn one.
    """
    stored = lookup.visible_shock(uow, actor, shock_id)
    lookup.check_answers(stored.shock)
    return _found(uow, [stored])[0]


def hardware_sizes(uow: UnitOfWork) -> tuple[HardwareSizes, ...]:
    """Return what sources say is produced in hardware, withdrawn rows left out, by bolt, eyelet bore and id."""
    return tuple(row for row in uow.hardware.rows() if row.counts)


def shock_index(uow: UnitOfWork) -> NameIndex:
    """Return an index over all makes of shocks and their models as they stand."""
    models = uow.shocks.models()
    slugs = {m.make for m in models}
    return NameIndex([m for m in uow.catalogue.makes() if m.slug in slugs], models)


def shocks(uow: UnitOfWork, query: ShockQuery, index: NameIndex, text: str | None = None) -> ShockPage:
    """Return the live shocks that meet every condition, in order of make, model and first year.

    ``text`` is a name as people write it, typing errors tolerated; a model year in it counts unless ``query`` has one.
    With a text the likest models come first and there is one page of at most ``query.limit``. A text that is like
    nothing finds nothing.
    """
    if text is None:
        found = uow.shocks.find(query)
        last = found[-1].shock if len(found) == query.limit else None
        after = (last.make, last.model, last.years.start, last.id) if last else None
        return ShockPage(_answers(uow, found, query.year), after)
    name, written = years_in(text)
    if query.year is None and written is not None and written.start == written.end:
        query = replace(query, year=written.start)
    rank = {(hit.make, hit.model): i for i, hit in enumerate(index.find(name))}
    most = query.limit
    found = uow.shocks.find(replace(query, models=tuple(rank), limit=4 * most)) if rank else []
    if query.year is None and written is not None:
        found = [s for s in found if s.shock.years.overlaps(written)]
    found.sort(key=lambda s: rank[s.shock.make, s.shock.model])
    return ShockPage(_answers(uow, found[:most], query.year), None)


def shock(uow: UnitOfWork, actor: Actor, shock_id: str) -> dict[str, Any]:
    """Return the answer for one shock. Raises as ``find_shock``."""
    return shock_answer(find_shock(uow, shock_id, actor), demo=is_demo(uow))


def claims(uow: UnitOfWork, actor: Actor, shock_id: str) -> dict[str, Any]:
    """Return what every claim about a shock says, by subject, with its state and source. Raises NotFound."""
    return lookup.claims_about(uow, actor, lookup.visible_shock(uow, actor, shock_id))


def history(uow: UnitOfWork, actor: Actor, shock_id: str) -> dict[str, Any]:
    """Return every event of a shock, oldest first, with its date (never the time of day). Raises NotFound."""
    lookup.visible_shock(uow, actor, shock_id)
    return lookup.history_of(uow, shock_id)


def hardware_answer(
    uow: UnitOfWork,
    bolt_mm: Decimal | None = None,
    width_mm: Decimal | None = None,
    eyelet_bore_mm: Decimal | None = None,
) -> dict[str, Any]:
    """Return what is produced in hardware: every row that meets all conditions, with its source.

    Sizes match within 0.03 mm. A row that names no eyelet bore meets every bore. With ``bolt_mm`` the widths of all
    rows found stand together in ``widths_mm``, ascending, each once, and in ``widths`` with their standing. Nothing
    found: empty lists, which is "not known".
    """
    rows = [row for row in hardware_sizes(uow) if _meets(row, bolt_mm, width_mm, eyelet_bore_mm)]
    found: dict[str, Any] = {"sizes": [hardware_sizes_json(row) for row in rows]}
    if bolt_mm is not None:
        widths = produced(rows, bolt_mm, eyelet_bore_mm)
        found |= {"widths_mm": [w.width_mm for w in widths], "widths": [_width_answer(w) for w in widths]}
    newest = max((row.sequence for row in rows), default=0)
    return found | {"event": newest} | ({"demo": True} if is_demo(uow) else {})


def _width_answer(width: Produced) -> dict[str, Any]:
    return {
        "width_mm": width.width_mm,
        "standing": width.standing,
        "basis": {"rows": list(width.rows), "independent": width.independent},
        "checked_on": width.checked_on,
    }


def _meets(row: HardwareSizes, bolt: Decimal | None, width: Decimal | None, bore: Decimal | None) -> bool:
    return (
        (bolt is None or same_size(row.bolt_mm, bolt))
        and (width is None or any(same_size(w, width) for w in row.widths_mm))
        and (bore is None or row.eyelet_bore_mm is None or same_size(row.eyelet_bore_mm, bore))
    )


def shock_head(record: Shock, make: Make, model: ShockModel) -> dict[str, Any]:
    """Return who a shock is: id, record, make, model, years and what tells it apart."""
    found: dict[str, Any] = {
        "id": record.id,
        "record": record.record,
        "make": {"slug": make.slug, "name": make.name},
        "model": {"slug": model.slug, "name": model.name},
        "years": years_json(record.years),
    }
    return found | ({"qualifier": qualifier_json(record.qualifier)} if record.qualifier is not None else {})


def shock_answer(found: FoundShock, *, demo: bool) -> dict[str, Any]:
    """Return the answer for one live shock: who it is, the sizes it is made in, both ends, what is in its box."""
    answer = shock_head(found.shock, found.make, found.model) | ({} if found.listed else {"listed": False})
    answer["sizes"] = finding_answer(found.findings[SIZES])
    answer["ends"] = {end: finding_answer(found.findings[end]) for end in SHOCK_ENDS}
    if found.shock.sold_with:
        answer["sold_with"] = [sold_with_json(s) for s in found.shock.sold_with]
    stamp = {"event": found.sequence} | ({"demo": True} if demo else {})
    return answer | {"cautions": list(SIZE_CAUTIONS)} | stamp


def _answers(uow: UnitOfWork, stored: Sequence[StoredShock], year: int | None) -> list[dict[str, Any]]:
    """Return the answers for shocks; for a ``year`` beyond its evidence a settled value is at most provisional."""
    demo = is_demo(uow)
    answers = []
    for found in _found(uow, stored):
        said = found.findings
        if year is not None:
            said = {subject: for_year(finding, year) for subject, finding in said.items()}
        answers.append(shock_answer(replace(found, findings=said), demo=demo))
    return answers


def _found(uow: UnitOfWork, stored: Sequence[StoredShock]) -> list[FoundShock]:
    said = findings_of(uow, [s.shock for s in stored])
    found = []
    for s in stored:
        record = s.shock
        make, model = uow.catalogue.make(record.make), uow.shocks.model(record.make, record.model)
        assert make is not None and model is not None, "a shock's make and model are never deleted"
        findings = {finding.subject: finding for finding in said[record.id]}
        found.append(FoundShock(record, make, model, findings, s.sequence, s.listed))
    return found
