"""Bringing records into the database: every change an event, answers and review cases in step."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import islice
from typing import Any, Final

from boltspan.dataset.contents import FrameEntry, with_states
from boltspan.dataset.plan import ImportPlan
from boltspan.domain.claims import Claim
from boltspan.domain.frames import Frame, Make, Model
from boltspan.domain.records import frame_json, make_json, model_json
from boltspan.domain.review import Decision
from boltspan.domain.values import value_json
from boltspan.services.attention import wants_a_look
from boltspan.services.cases import RECORD, open_case
from boltspan.services.protocols import Clock, StoredFrame, UnitOfWork
from boltspan.services.publishing import BATCH, encode_frames, findings_of, republish

_BECAME: Final = {"merged": "frame_merged", "divided": "frame_divided", "withdrawn": "frame_withdrawn"}


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

    def frames(self, entries: Sequence[FrameEntry]) -> None:
        """Store new frames, each with one event that covers its claims and decisions too.

        They are not weighed and not encoded yet, and no case is open yet.
        """
        claims: list[Claim] = []
        decisions: list[Decision] = []
        for entry in entries:
            said = with_states(entry.claims, entry.decisions)
            more = {
                key: [s.id for s in about] for key, about in (("claims", said), ("decisions", entry.decisions)) if about
            }
            sequence = self._frame_event("frame_added", entry.frame, **more)
            self._touched[entry.frame.id] = sequence
            self._uow.catalogue.put_frame(StoredFrame(entry.frame, sequence=sequence))
            claims += (replace(c, sequence=sequence) for c in said)
            decisions += (replace(d, sequence=sequence) for d in entry.decisions)
            self._said_of[entry.frame.id] |= {c.subject for c in said}
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
        self.frames(plan.frames)
        self._rename(plan)
        for changed in (r for r in plan.changed if isinstance(r, Frame)):
            self._change(changed)
        for frame in plan.listed:
            self._list(frame)
        self._statements(plan)
        for frame_id, sequence in self._touched.items():
            self._uow.catalogue.put_frame(replace(self._stored(frame_id), sequence=sequence))
        republish(self._uow, self._touched, self._left)
        self.open_disputed()

    def encode(self) -> None:
        """Encode the answers of all that was brought, a batch at a time; the frames were weighed already.

        A model that lies in two batches is complete after the second.
        """
        for some in _batches(self._touched):
            encode_frames(self._uow, some)

    def _rename(self, plan: ImportPlan) -> None:
        """Store renamed makes and models; every answer that names them is encoded anew."""
        makes = [r for r in plan.changed if isinstance(r, Make)]
        models = [r for r in plan.changed if isinstance(r, Model)]
        self.makes(makes, "make_edited")
        self.models(models, "model_edited")
        renamed = {(m.slug,) for m in makes} | {(m.make, m.slug) for m in models}
        for entry in plan.after.entries if renamed else ():
            if {(entry.frame.make,), (entry.frame.make, entry.frame.model)} & renamed:
                self._touched[entry.frame.id] = self._uow.events.last()

    def _change(self, frame: Frame) -> None:
        """Store a frame's record after its merge."""
        stored = self._stored(frame.id)
        old = stored.frame
        became = frame.record != old.record and frame.record in _BECAME
        more: dict[str, Any] = {"why": frame.why} if became and frame.why else {}
        if became and frame.into:
            more |= {"into": frame.into[0]} if frame.record == "merged" else {"ask_instead": list(frame.into)}
        sequence = self._frame_event(_BECAME[frame.record] if became else "frame_edited", frame, **more)
        self._uow.catalogue.put_frame(replace(stored, frame=frame, sequence=sequence))
        self._touched[frame.id] = sequence
        if (old.make, old.model) != (frame.make, frame.model):
            self._left.add((old.make, old.model))

    def _list(self, frame: Frame) -> None:
        """List a frame that was only proposed, and close its case."""
        stored = self._stored(frame.id)
        sequence = self._frame_event("frame_listed", stored.frame)
        self._uow.catalogue.put_frame(replace(stored, listed=True, sequence=sequence))
        self._touched[frame.id] = sequence
        self._close_case(frame.id, RECORD, sequence)

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
        for frame_id, of_frame in subjects.items():
            self._said_of[frame_id] |= of_frame

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

    def open_disputed(self) -> None:
        """Open a case for each subject spoken of whose claims contradict each other, or a ruling that did not see them.

        Findings and what was weighed are those that stand.
        """
        for some in _batches(self._said_of):
            frames = [s.frame for s in map(self._stored, some) if s.frame.live]
            for frame_id, findings in findings_of(self._uow, frames).items():
                for f in findings:
                    if f.subject in self._said_of[frame_id] and wants_a_look(f):
                        open_case(self._uow, self._clock, frame_id, f.subject, "disputed", self._touched[frame_id])

    def _close_case(self, frame: str, subject: str, sequence: int) -> None:
        case = self._uow.cases.of_subject(frame, subject)
        if case is not None and case.state == "open":
            self._uow.cases.put(replace(case, state="closed", sequence=sequence))

    def _on_subject(self, kind: str, about: Claim | Decision, payload: dict[str, Any]) -> int:
        """Record an event on a statement's subject; return its number."""
        sequence = self._event(kind, frame=about.frame, subject=about.subject, payload=payload)
        self._touched[about.frame] = sequence
        return sequence

    def _frame_event(self, kind: str, frame: Frame, **more: Any) -> int:
        """Record an event with the frame's record fields; return its number."""
        payload = {"make_slug": frame.make, "model_slug": frame.model, "frame": frame_json(frame)} | more
        return self._event(kind, frame=frame.id, payload=payload)

    def _event(
        self, kind: str, *, frame: str | None = None, subject: str | None = None, payload: dict[str, Any]
    ) -> int:
        return self._uow.events.record(self._person, kind, frame=frame, subject=subject, payload=payload)

    def _stored(self, frame_id: str) -> StoredFrame:
        stored = self._uow.catalogue.frame(frame_id)
        assert stored is not None, "a planned change is of a frame that is here"
        return stored


def _batches(frame_ids: Iterable[str]) -> Iterator[list[str]]:
    ids = iter(list(frame_ids))
    while batch := list(islice(ids, BATCH)):
        yield batch
