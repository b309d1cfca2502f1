"""Merging files into what a database holds: a union of claims and decisions, and records field by field, three ways.

The base of the third way is what stood at the event the files were exported at. What is missing from the files is not
touched: nothing is ever deleted.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from boltspan.dataset.checks import check_records
from boltspan.dataset.contents import (
    Dataset,
    E,
    Entry,
    FrameEntry,
    ShockEntry,
    as_files,
    claim_as_files,
    with_states,
    without_proposals,
)
from boltspan.dataset.placed import records_of
from boltspan.dataset.plan import Conflict, ImportPlan, RecordChange, RecordOf
from boltspan.dataset.problems import Problem
from boltspan.dataset.recordfields import FIELDS, R, field_of, key_of, shown_field, with_field
from boltspan.domain.claims import Claim
from boltspan.domain.frames import Frame
from boltspan.domain.hardware_sizes import HardwareSizes, hardware_sizes_json
from boltspan.domain.jsontext import dumps
from boltspan.domain.review import Decision
from boltspan.domain.statements import claim_json, decision_json

BaseRecord = Callable[[str], RecordOf | None]
"""Gives a record by its key as it stood at the files' head, or None when it was not there or is not known."""
CONFLICTS: Final = {
    "head_not_reached": "the files were exported at an event that this database has not reached",
    "demo_differs": "invented records and real ones do not go together",
    "changed_on_both_sides": "this was changed here since the files were exported, and in the files",
    "no_common_record": "this differs, and what stood when the files were exported is not known here",
    "ends_in_use": "the ends cannot be named anew while claims or decisions stand on them",
    "claim_differs": "a claim with this id is here and says something else; a claim is never edited",
    "decision_differs": "a decision with this id is here and says something else; a decision is never edited",
    "hardware_differs": "hardware sizes with this id are here and say something else; they are never edited",
    "withdrawn_differently": "the claim is withdrawn here on another day or for another reason",
    "decided_on_both_sides": "this was decided here since the files were exported, and in the files",
    "decision_inserted": "a new decision stands before one that is here already; new ones come last",
}
"""What stands in the way of an import, by code."""


def plan_import(
    incoming: Dataset,
    current: Dataset,
    base_record: BaseRecord,
    last_event: int,
    unlisted: Collection[str] = frozenset(),
) -> ImportPlan:
    """Return what importing ``incoming`` into ``current`` comes to; nothing is written here.

    ``current`` is everything the database holds, unreviewed claims and proposed records too; ``unlisted`` names the
    latter, and ``last_event`` is the number of its last event. Two datasets that say the same: an empty plan.
    """
    merge = _Merge(
        incoming.head,
        base_record,
        {c.id: c for e in current.made for c in e.claims},
        {d.id: d for e in current.made for d in e.decisions},
    )
    if incoming.head > last_event:
        merge.refuse("head_not_reached", "dataset", str(last_event), str(incoming.head))
    if incoming.demo != current.demo:
        merge.refuse("demo_differs", "dataset", f"demo {dumps(current.demo)}", f"demo {dumps(incoming.demo)}")
    new_makes, makes = merge.records(incoming.makes, current.makes)
    new_models, models = merge.records(incoming.models, current.models)
    entries, new_frames = merge.entries(incoming.entries, current.entries)
    new_shock_models, shock_models = merge.records(incoming.shock_models, current.shock_models)
    shocks, new_shocks = merge.entries(incoming.shocks, current.shocks)
    hardware = merge.hardware(incoming.hardware, current.hardware)
    title = incoming.title if incoming.title != current.title else None
    now_listed = frozenset(unlisted) & {e.about.id for e in incoming.made}
    still_unlisted = frozenset(unlisted) - now_listed
    whole = replace(current, title=incoming.title, makes=(*makes, *new_makes), models=(*models, *new_models),
                    entries=(*entries, *new_frames), shock_models=(*shock_models, *new_shock_models),
                    shocks=(*shocks, *new_shocks), hardware=tuple(hardware))  # fmt: skip
    rows_here = {row.id for row in current.hardware}
    before, after = without_proposals(current, unlisted), without_proposals(whole, still_unlisted)
    return ImportPlan(
        before=before,
        after=after,
        title=title,
        makes=tuple(new_makes),
        models=tuple(new_models),
        frames=tuple(new_frames),
        shock_models=tuple(new_shock_models),
        shocks=tuple(new_shocks),
        hardware=tuple(row for row in hardware if row.id not in rows_here),
        hardware_withdrawn=tuple(row for row in hardware if row.id in rows_here and row not in current.hardware),
        changed=tuple(merge.changed),
        changes=tuple(merge.changes),
        listed=(
            *(e.frame for e in entries if e.frame.id in now_listed),
            *(e.shock for e in shocks if e.shock.id in now_listed),
        ),
        claims=tuple(merge.claims),
        restated=tuple(merge.restated),
        decisions=tuple(merge.decisions),
        conflicts=tuple(merge.conflicts),
        problems=tuple(_new_problems(before, after)),
    )


@dataclass(slots=True)
class _Merge:
    """What was found so far, and what is known of either side."""

    head: int
    base_record: BaseRecord
    claims_here: Mapping[str, Claim]
    decisions_here: Mapping[str, Decision]
    conflicts: list[Conflict] = field(default_factory=list)
    changed: list[RecordOf] = field(default_factory=list)
    changes: list[RecordChange] = field(default_factory=list)
    claims: list[Claim] = field(default_factory=list)
    restated: list[Claim] = field(default_factory=list)
    decisions: list[Decision] = field(default_factory=list)

    def refuse(self, code: str, record: str, here: str | None = None, coming: str | None = None) -> None:
        """Note a conflict."""
        self.conflicts.append(Conflict(code, record, CONFLICTS[code], here, coming))

    def records(self, incoming: Sequence[R], current: Sequence[R]) -> tuple[list[R], list[R]]:
        """Return the incoming records that are new, and the current ones after their merge."""
        coming = {key_of(r): r for r in incoming}
        known = {key_of(r) for r in current}
        merged = [self.record(coming[key_of(r)], r) if key_of(r) in coming else r for r in current]
        return [r for r in incoming if key_of(r) not in known], merged

    def record(self, incoming: R, here: R) -> R:
        """Return ``here`` with what the files change; a field that both sides changed is a conflict."""
        if incoming == here:
            return here
        key, merged = key_of(here), here
        base = self.base_record(key)
        for name in FIELDS[type(here)]:
            old, new = field_of(here, name), field_of(incoming, name)
            stood = None if base is None else field_of(base, name)
            if new in (old, stood):
                continue
            if old == stood:
                merged = with_field(merged, name, incoming)
                self.changes.append(RecordChange(key, name, shown_field(here, name), shown_field(incoming, name)))
            else:
                code = "no_common_record" if base is None else "changed_on_both_sides"
                self.refuse(code, f"{key} {name}", shown_field(here, name), shown_field(incoming, name))
        if merged != here:
            self.changed.append(merged)
        return merged

    def entries(self, incoming: Sequence[E], current: Sequence[E]) -> tuple[list[E], list[E]]:
        """Return the current frames or shocks with what comes to them, and the incoming ones that are new."""
        coming = {e.about.id: e for e in incoming}
        known = {e.about.id for e in current}
        merged = [self.entry(coming[e.about.id], e) if e.about.id in coming else e for e in current]
        new = []
        for entry in incoming:
            if entry.about.id not in known:
                claims, decisions = self.new_claims(entry.claims), self.new_decisions(entry.decisions)
                new.append(replace(entry, claims=with_states(claims, decisions), decisions=tuple(decisions)))
        return merged, new

    def entry(self, incoming: E, here: E) -> E:
        """Return a frame or shock that was here with its record merged and new statements added."""
        if isinstance(incoming, FrameEntry) and isinstance(here, FrameEntry):
            merged: E = here.with_about(self.frame(incoming, here))
        else:
            assert isinstance(incoming, ShockEntry) and isinstance(here, ShockEntry), "like is merged with like"
            merged = here.with_about(self.record(incoming.shock, here.shock))
        claims, decisions = self.statements(incoming, here)
        return replace(merged, claims=claims, decisions=decisions)

    def statements(self, incoming: Entry, here: Entry) -> tuple[tuple[Claim, ...], tuple[Decision, ...]]:
        """Return the claims and decisions on a record that was here, with those that come to them."""
        claims, decisions = self.new_claims(incoming.claims), self.new_decisions(incoming.decisions)
        for subject in sorted({d.subject for d in decisions}):
            self.check_order(incoming, here, subject)
        every = (*here.decisions, *decisions)
        coming = {c.id: c for c in incoming.claims}
        known = with_states((self.known(c, coming.get(c.id)) for c in here.claims), every)
        self.restated += [now for now, was in zip(known, here.claims, strict=True) if now != was]
        added = with_states(claims, every)
        self.claims += added
        self.decisions += decisions
        return (*known, *added), every

    def frame(self, incoming: FrameEntry, here: FrameEntry) -> Frame:
        """Return a frame's record after its merge; ends that something stands on keep their names."""
        frame = self.record(incoming.frame, here.frame)
        used = {c.subject for c in here.claims} | {d.subject for d in here.decisions}
        if frame.ends != here.frame.ends and used & set(here.frame.ends):
            self.refuse("ends_in_use", frame.id, ", ".join(here.frame.ends), ", ".join(frame.ends))
        return frame

    def hardware(self, incoming: Sequence[HardwareSizes], current: Sequence[HardwareSizes]) -> list[HardwareSizes]:
        """Return the rows of both; one that is here is never edited, but it can be withdrawn."""
        here = {row.id: row for row in current}
        for row in incoming:
            known = here.get(row.id)
            if known is None:
                here[row.id] = row
                continue
            said, saying = (replace(r, withdrawn_on=None, withdrawn_why=None, sequence=0) for r in (known, row))
            if said != saying:
                was, comes = dumps(hardware_sizes_json(said)), dumps(hardware_sizes_json(saying))
                self.refuse("hardware_differs", row.id, was, comes)
            elif row.withdrawn_on is not None and known.withdrawn_on is None:
                here[row.id] = replace(row, sequence=known.sequence)
            elif row.withdrawn_on is not None and replace(known, sequence=0) != row:
                self.refuse("withdrawn_differently", row.id, f"{known.withdrawn_on}, {known.withdrawn_why}",
                            f"{row.withdrawn_on}, {row.withdrawn_why}")  # fmt: skip
        return list(here.values())

    def new_claims(self, incoming: Sequence[Claim]) -> list[Claim]:
        """Return the claims whose ids are not here; one that is here and says something else is a conflict."""
        for claim in incoming:
            here = self.claims_here.get(claim.id)
            if here is not None and _said(claim) != _said(here):
                self.refuse("claim_differs", claim.id, _place(here) + dumps(claim_json(_said(here))),
                            _place(claim) + dumps(claim_json(_said(claim))))  # fmt: skip
        return [c for c in incoming if c.id not in self.claims_here]

    def new_decisions(self, incoming: Sequence[Decision]) -> list[Decision]:
        """Return the decisions whose ids are not here; one that is here and says something else is a conflict."""
        for decision in incoming:
            here = self.decisions_here.get(decision.id)
            if here is not None and replace(here, sequence=0) != decision:
                self.refuse("decision_differs", decision.id, _place(here) + dumps(decision_json(here)),
                            _place(decision) + dumps(decision_json(decision)))  # fmt: skip
        return [d for d in incoming if d.id not in self.decisions_here]

    def known(self, here: Claim, coming: Claim | None) -> Claim:
        """Return a claim that was here with what the files say about it: that it stands in them, and a withdrawal.

        Standing in the files as reviewed lets an unreviewed claim in. A withdrawal that is only here stays.
        """
        if coming is None:
            return here
        let_in = here.state == "submitted" and coming.state != "submitted"
        accepted = replace(here, state="accepted", unreviewed=False) if let_in else here
        if here.superseded_on is None and coming.superseded_on is not None:
            accepted = replace(accepted, superseded_on=coming.superseded_on, superseded_by=coming.superseded_by)
        taken_back = (coming.withdrawn_on, coming.withdrawn_why)
        if coming.withdrawn_on is None or taken_back == (here.withdrawn_on, here.withdrawn_why):
            return accepted
        if here.withdrawn_on is not None:
            self.refuse("withdrawn_differently", here.id, f"{here.withdrawn_on}, {here.withdrawn_why}",
                        f"{coming.withdrawn_on}, {coming.withdrawn_why}")  # fmt: skip
        return replace(accepted, withdrawn_on=coming.withdrawn_on, withdrawn_why=coming.withdrawn_why)

    def check_order(self, incoming: Entry, here: Entry, subject: str) -> None:
        """Refuse new decisions on a subject that was decided here too, or that stand before known ones."""
        in_files = incoming.decisions_on(subject)
        ids = {d.id for d in in_files}
        record = f"{here.about.id} {subject}"
        since = [d for d in here.decisions_on(subject) if d.sequence > self.head and d.id not in ids]
        new = [d.id not in self.decisions_here for d in in_files]
        if since:
            coming = [d.id for d, fresh in zip(in_files, new, strict=True) if fresh]
            self.refuse("decided_on_both_sides", record, ", ".join(d.id for d in since), ", ".join(coming))
        if new != sorted(new):
            self.refuse("decision_inserted", record, None, ", ".join(d.id for d in in_files))


def _said(claim: Claim) -> Claim:
    """Return what never changes of a claim: all but its state and how it ended."""
    return replace(claim_as_files(claim), state="accepted", withdrawn_on=None, withdrawn_why=None,
                   superseded_on=None, superseded_by=None, unreviewed=False)  # fmt: skip


def _place(statement: Claim | Decision) -> str:
    return f"on {statement.frame} {statement.subject} "


def _new_problems(before: Dataset, after: Dataset) -> list[Problem]:
    """Return the errors among the records afterwards that are none now; places do not matter, since they move."""

    def errors(dataset: Dataset) -> list[Problem]:
        return [p for p in check_records(records_of(as_files(dataset))) if not p.warning]

    now = {(p.code, p.detail, p.got) for p in errors(before)}
    return [p for p in errors(after) if (p.code, p.detail, p.got) not in now]
