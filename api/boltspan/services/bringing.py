"""Bringing records into the database: every change an event, answers and review cases in step."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import islice
from typing import Any, Final

from boltspan.dataset.contents import Entry, with_states
from boltspan.dataset.plan import ImportPlan
from boltspan.domain.claims import Claim
from boltspan.domain.frames import Frame, Make, Model
from boltspan.domain.hardware_sizes import HardwareSizes, hardware_sizes_json
from boltspan.domain.records import frame_json, make_json, model_json
from boltspan.domain.review import Decision
from boltspan.domain.shock_records import shock_json
from boltspan.domain.shocks import Shock, ShockModel
from boltspan.domain.subjects import Record, kind_of
from boltspan.domain.values import value_json
from boltspan.services.attention import wants_a_look
from boltspan.services.cases import RECORD, open_case
from boltspan.services.made import put_record, stored_record, touch
from boltspan.services.protocols import Clock, Stored, StoredFrame, StoredShock, UnitOfWork
from boltspan.services.publishing import BATCH, encode_frames, findings_of, republish
from boltspan.services.record_ends import bring_cases_in_step

_BECAME: Final = ("merged", "divided", "withdrawn")


class Bringing:
    """Writes records on behalf of ``person`` (None: the command line) in one transaction."""

    def __init__(self, uow: UnitOfWork, clock: Clock, person: str | None) -> None:
        self._uow, self._clock, self._person = uow, clock, person
        self._touched: dict[str, int] = {}
        self._left: set[tuple[str, str]] = set()
        self._said_of: defaultdict[str, set[str]] = defaultdict(set)

    def makes(self, makes: Iterable[Make], kind: str = "make_added") -> None:
        """Store makes, each with its event."""
        for make in makes:
            self._event(kind, payload={"make": make_json(make)})
            self._uow.catalogue.put_make(make)

    def models(self, models: Iterable[Model], kind: str = "model_added") -> None:
        """Store models, each with its event."""
        for model in models:
            self._event(kind, payload={"make_slug": model.make, "model": model_json(model)})
            self._uow.catalogue.put_model(model)

    def shock_models(self, models: Iterable[ShockModel], kind: str = "shock_model_added") -> None:
        """Store shock models, each with its event."""
        for model in models:
            self._event(kind, payload={"make_slug": model.make, "shock_model": model_json(model)})
            self._uow.shocks.put_model(model)

    def hardware(self, rows: Iterable[HardwareSizes], kind: str = "hardware_added") -> None:
        """Store rows of hardware sizes, each with its event."""
        for row in rows:
            sequence = self._event(kind, payload={"hardware": hardware_sizes_json(row)})
            self._uow.hardware.put(replace(row, sequence=sequence))

    def records(self, entries: Sequence[Entry]) -> None:
        """Store new frames or shocks, each with one event that covers its claims and decisions too.

        They are not weighed and not encoded yet, and no case is open yet.
        """
        claims: list[Claim] = []
        decisions: list[Decision] = []
        for entry in entries:
            said = with_states(entry.claims, entry.decisions)
            more = {
                key: [s.id for s in about] for key, about in (("claims", said), ("decisions", entry.decisions)) if about
            }
            sequence = self._record_event("added", entry.about, **more)
            self._touched[entry.about.id] = sequence
            put_record(self._uow, _new(entry.about, sequence))
            claims += (replace(c, sequence=sequence) for c in said)
            decisions += (replace(d, sequence=sequence) for d in entry.decisions)
            self._said_of[entry.about.id] |= {c.subject for c in said}
        self._uow.statements.add_claims(claims)
        self._uow.statements.add_decisions(decisions)

    def carry_out(self, plan: ImportPlan) -> None:
        """Do all that ``plan`` says; nothing may stand in its way."""
        assert plan.stands, "a plan that something stands in the way of is not carried out"
        if plan.title is not None:
            self._event("dataset_changed", payload={"title": plan.title})
            self._uow.settings.put("title", plan.title)
        self.makes(plan.makes)
        self.models(plan.models)
        self.records(plan.frames)
        self.shock_models(plan.shock_models)
        self.records(plan.shocks)
        self.hardware(plan.hardware)
        self.hardware(plan.hardware_withdrawn, "hardware_withdrawn")
        self._rename(plan)
        for changed in (r for r in plan.changed if isinstance(r, Frame | Shock)):
            self._change(changed)
        for record in plan.listed:
            self._list(record)
        self._statements(plan)
        for record_id, sequence in self._touched.items():
            touch(self._uow, self._stored(record_id), sequence)
        republish(self._uow, self._touched, self._left)
        self.open_disputed(self._said_of)

    def encode(self) -> None:
        """Encode the answers of all that was brought and open its disputed cases; the frames were weighed already.

        A batch at a time: what readings come to is worked out once for both. A model that lies in two batches is
        complete after the second.
        """
        for some in _batches(self._touched):
            encode_frames(self._uow, [i for i in some if kind_of(i) == "frame"])
            self.open_disputed(some)

    def _rename(self, plan: ImportPlan) -> None:
        """Store renamed makes and models; every answer that names them is encoded anew."""
        makes = [r for r in plan.changed if isinstance(r, Make)]
        shock_models = [r for r in plan.changed if isinstance(r, ShockModel)]
        models = [r for r in plan.changed if isinstance(r, Model) and not isinstance(r, ShockModel)]
        self.makes(makes, "make_edited")
        self.models(models, "model_edited")
        self.shock_models(shock_models, "shock_model_edited")
        renamed = {(m.slug,) for m in makes} | {(m.make, m.slug) for m in models}
        for entry in plan.after.entries if renamed else ():
            if {(entry.frame.make,), (entry.frame.make, entry.frame.model)} & renamed:
                self._touched[entry.frame.id] = self._uow.events.last()

    def _change(self, record: Record) -> None:
        """Store a frame's or shock's record after its merge."""
        stored = self._stored(record.id)
        old = stored.about
        became = record.record != old.record and record.record in _BECAME
        more: dict[str, Any] = {"why": record.why} if became and record.why else {}
        if became and record.into:
            more |= {"into": record.into[0]} if record.record == "merged" else {"ask_instead": list(record.into)}
        sequence = self._record_event(record.record if became else "edited", record, **more)
        if isinstance(record, Shock):
            assert isinstance(stored, StoredShock), "like is changed to like"
            self._uow.shocks.put_shock(replace(stored, shock=record, sequence=sequence))
        else:
            assert isinstance(stored, StoredFrame), "like is changed to like"
            self._uow.catalogue.put_frame(replace(stored, frame=record, sequence=sequence))
            if (old.make, old.model) != (record.make, record.model):
                self._left.add((old.make, old.model))
        self._touched[record.id] = sequence
        bring_cases_in_step(self._uow, record.id)

    def _list(self, record: Record) -> None:
        """List a frame or shock that was only proposed, and close its case."""
        stored = self._stored(record.id)
        sequence = self._record_event("listed", stored.about)
        put_record(self._uow, replace(stored, listed=True, sequence=sequence))
        self._touched[record.id] = sequence
        self._close_case(record.id, RECORD, sequence)

    def _statements(self, plan: ImportPlan) -> None:
        """Store new claims and decisions on frames that were here, and the new states of claims that were."""
        added, decided = [], []
        subjects: dict[str, set[str]] = defaultdict(set)
        for claim in plan.claims:
            sequence = self._on_subject("claim_added", claim, {"claim": claim.id})
            added.append(replace(claim, sequence=sequence))
            subjects[claim.frame].add(claim.subject)
        for claim in plan.restated:
            self._restate(claim)
            subjects[claim.frame].add(claim.subject)
        for decision in plan.decisions:
            sequence = self._decide(decision)
            decided.append(replace(decision, sequence=sequence))
            subjects[decision.frame].add(decision.subject)
        self._uow.statements.add_claims(added)
        self._uow.statements.add_decisions(decided)
        for record_id, of_record in subjects.items():
            self._said_of[record_id] |= of_record

    def _restate(self, claim: Claim) -> None:
        """Store a claim's new state. What a decision brings about has its event in the decision's."""
        before = self._uow.statements.claim(claim.id)
        assert before is not None, "only claims that are here are restated"
        if claim.withdrawn_on != before.withdrawn_on:
            self._on_subject("claim_withdrawn", claim, {"claim": claim.id, "why": claim.withdrawn_why})
        elif before.state == "submitted" and claim.state == "accepted":
            self._on_subject("claim_accepted", claim, {"claim": claim.id})
        self._uow.statements.set_state(claim)

    def _decide(self, decision: Decision) -> int:
        payload: dict[str, Any] = {"decision": decision.id, "ruling": decision.ruling, "why": decision.why}
        if decision.value is not None:
            payload["value"] = value_json(decision.value)
        sequence = self._on_subject("decision_made", decision, payload)
        if decision.ruling == "reverse":
            open_case(self._uow, self._clock, decision.frame, decision.subject, "reversed", sequence)
        else:
            self._close_case(decision.frame, decision.subject, sequence)
        return sequence

    def open_disputed(self, record_ids: Iterable[str]) -> None:
        """Open a case for each subject spoken of whose claims contradict each other, or a ruling that did not see them.

        Findings and what was weighed of these records are those that stand.
        """
        for some in _batches(i for i in record_ids if i in self._said_of):
            records = [s.about for s in map(self._stored, some) if s.about.live]
            for record_id, findings in findings_of(self._uow, records).items():
                for f in findings:
                    if f.subject in self._said_of[record_id] and wants_a_look(f):
                        last = self._touched[record_id]
                        open_case(self._uow, self._clock, record_id, f.subject, "disputed", last, f)

    def _close_case(self, frame: str, subject: str, sequence: int) -> None:
        case = self._uow.cases.of_subject(frame, subject)
        if case is not None and case.state == "open":
            self._uow.cases.put(replace(case, state="closed", sequence=sequence))

    def _on_subject(self, kind: str, about: Claim | Decision, payload: dict[str, Any]) -> int:
        """Record an event on a statement's subject; return its number."""
        sequence = self._event(kind, frame=about.frame, subject=about.subject, payload=payload)
        self._touched[about.frame] = sequence
        return sequence

    def _record_event(self, what: str, record: Record, **more: Any) -> int:
        """Record an event with the record's own fields (``frame_added``, ``shock_edited``); return its number."""
        kind = kind_of(record.id)
        fields = shock_json(record) if isinstance(record, Shock) else frame_json(record)
        payload = {"make_slug": record.make, "model_slug": record.model, kind: fields} | more
        return self._event(f"{kind}_{what}", frame=record.id, payload=payload)

    def _event(
        self, kind: str, *, frame: str | None = None, subject: str | None = None, payload: dict[str, Any]
    ) -> int:
        return self._uow.events.record(self._person, kind, frame=frame, subject=subject, payload=payload)

    def _stored(self, record_id: str) -> Stored:
        stored = stored_record(self._uow, record_id)
        assert stored is not None, "a planned change is of a record that is here"
        return stored


def _batches(record_ids: Iterable[str]) -> Iterator[list[str]]:
    ids = iter(list(record_ids))
    while batch := list(islice(ids, BATCH)):
        yield batch


def _new(record: Record, sequence: int) -> Stored:
    if isinstance(record, Shock):
        return StoredShock(record, sequence)
    return StoredFrame(record, sequence=sequence)
