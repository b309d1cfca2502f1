"""The fit sheet: the whole answer for one frame and one shock, with what it rests on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any, Final

from boltspan.domain.answers import as_mapping, exact
from boltspan.domain.claims import Claim
from boltspan.domain.findings import Finding
from boltspan.domain.fitsheet.facts import FrameFacts, frame_facts
from boltspan.domain.fitsheet.question import FitQuestion, check_question, written_out
from boltspan.domain.fitsheet.sheet import EndSheet, FitSheet, Way, fit_sheet
from boltspan.domain.fitsheet.shock_size import SizeCheck
from boltspan.domain.fitsheet.texts import QUESTIONS
from boltspan.domain.fitsheet.told import texts_of
from boltspan.domain.hardware_sizes import HardwareSizes
from boltspan.domain.shock_values import ShockSize
from boltspan.domain.values import EndValue, value_json
from boltspan.services.answers import finding_answer, frame_head, outcome
from boltspan.services.fit_frames import MOST_FRAMES, findings_for, frames_named
from boltspan.services.fit_shocks import shock_named
from boltspan.services.lookup import claim_answer
from boltspan.services.names import NameIndex
from boltspan.services.permissions import ANYBODY
from boltspan.services.protocols import StoredFrame, UnitOfWork
from boltspan.services.publishing import is_demo
from boltspan.services.shocks import hardware_sizes, shock_answer

MOST_SOURCES: Final = 20
"""So many claims of an end are shown, the newest first; /v1/frames/{id}/claims has them all."""


def fit_sheets(
    uow: UnitOfWork, index: NameIndex, question: FitQuestion, made: tuple[HardwareSizes, ...] | None = None
) -> dict[str, Any]:
    """Return the fit sheets that answer ``question``: one for each frame it can mean, and the question between them.

    ``made`` is what is produced in hardware, for a caller that keeps it; absent, it is read.
    No frame of that name: outcome unknown and no sheet. More frames than MOST_FRAMES: the question alone, with who
    they are. Raises InvalidInput for whatever cannot be, naming the field; Gone for a divided or withdrawn record.
    """
    check_question(question)
    new, old = shock_named(uow, question.new_shock, "/new_shock"), shock_named(uow, question.old_shock, "/old_shock")
    made = hardware_sizes(uow) if made is None else made
    bench = replace(question.bench, new_shock=new.facts, old_shock=old.facts, made=made)
    demo = is_demo(uow)
    shocks = {name: shock_answer(each.record, demo=demo) for name, each in (("new_shock", new), ("old_shock", old))
              if each.record is not None}  # fmt: skip
    found: dict[str, Any] = {"outcome": "one", **shocks} | ({"demo": True} if demo else {})
    if question.ends is not None:
        facts = written_out(question)
        sheet = fit_sheet(facts, bench)
        stated = _sheet_answer({"ends": _stated(facts)}, facts, sheet)
        return _whole(uow, found, [stated], [sheet])
    named = frames_named(uow, index, question)
    found["outcome"] = outcome(len(named.frames))
    if len(named.frames) == 1 and named.question is not None:
        found["outcome"] = "several"
    if named.asked is not None:
        found["asked"] = named.asked
    if named.question is not None:
        found["ask"] = named.question
    if len(named.frames) > MOST_FRAMES:
        return _whole(uow, found | {"frames": [_head(uow, stored) for stored in named.frames]}, [], [])
    said = uow.statements.claims_of_frames([stored.frame.id for stored in named.frames])
    findings = findings_for(uow, named.frames, question.year, said)
    answers, sheets = [], []
    for stored in named.frames:
        of_frame = findings[stored.frame.id]
        facts = frame_facts(stored.frame, of_frame)
        sheet = fit_sheet(facts, replace(bench, new_shock=new.for_frame(stored.frame.id)))
        chart = _head(uow, stored) | _chart(facts, of_frame, said.get(stored.frame.id, []))
        answers.append(_sheet_answer(chart, facts, sheet))
        sheets.append(sheet)
    return _whole(uow, found, answers, sheets)


def _whole(
    uow: UnitOfWork, found: dict[str, Any], answers: Sequence[Mapping[str, Any]], sheets: Sequence[FitSheet]
) -> dict[str, Any]:
    """Return the answer with the texts of its codes and the state of the dataset it comes from."""
    dataset: dict[str, Any] = {"event": uow.events.last()}
    newest = next((each for each in uow.releases.releases() if each.withdrawn_on is None), None)
    if newest is not None:
        dataset["release"] = newest.version
    return found | {"sheets": list(answers), "texts": texts_of(sheets), "dataset": dataset}


def _head(uow: UnitOfWork, stored: StoredFrame) -> dict[str, Any]:
    make = uow.catalogue.make(stored.frame.make)
    model = uow.catalogue.model(stored.frame.make, stored.frame.model)
    assert make is not None and model is not None, "a stored frame has a make and a model"
    return frame_head(stored.frame, make, model)


def _chart(facts: FrameFacts, findings: Mapping[str, Finding], claims: Iterable[Claim]) -> dict[str, Any]:
    """Return what the chart says of a frame, each subject with the sources that speak of it."""
    live = sorted((c for c in claims if c.counts), key=lambda c: (c.sequence, c.id), reverse=True)
    said = {
        subject: finding_answer(finding)
        | {"sources": [claim_answer(ANYBODY, c) for c in live if c.subject == subject][:MOST_SOURCES]}
        for subject, finding in findings.items()
    }
    return {"shock_size": said["shock_size"], "ends": {each.end: said[each.end] for each in facts.ends}}


def _stated(facts: FrameFacts) -> dict[str, Any]:
    """Return what the asker stated of a frame that is written out."""
    return {
        each.end: {"standing": each.standing, "advice": each.advice}
        | ({} if each.value is None else {"stated": _value(each.value)})
        for each in facts.ends
    }


def _value(value: EndValue | ShockSize) -> dict[str, Any]:
    return value_json(value, labelled=True)


def _sheet_answer(frame: Mapping[str, Any], facts: FrameFacts, sheet: FitSheet) -> dict[str, Any]:
    first = facts.ends[0].end
    return {
        "frame": dict(frame),
        "shock_size": _size_answer(sheet.size),
        "ways": [_way_answer(way) for way in sheet.ways],
        "questions": [{"code": code, "text": _question(code, first, sheet)} for code in sheet.questions],
        "not_read": [as_mapping(each) for each in sheet.not_read],
        "cautions": list(sheet.cautions),
        "assumed": [exact(as_mapping(each)) for each in sheet.assumed],
    }


def _question(code: str, first: str, sheet: FitSheet) -> str:
    if code != "which_way_up":
        return QUESTIONS[code]
    text = f"Which end of the shock is at the frame's {first} end, the body or the shaft?"
    ways = [way for way in sheet.ways if way.goes_in]
    if not ways:
        return f"{text} Neither way does it go in."
    return f"{text} Only with the {ways[0].shock_up} there does it go in." if len(ways) == 1 else text


def _size_answer(size: SizeCheck) -> dict[str, Any]:
    found: dict[str, Any] = {"outcome": size.outcome, "standing": size.standing, "reasons": list(size.reasons)}
    for name, stated in (("frame", size.frame), ("shock", size.shock)):
        if stated != ShockSize():
            found[name] = _value(stated)
    if size.compared_with is not None:
        found["compared_with"] = size.compared_with
    return found


def _way_answer(way: Way) -> dict[str, Any]:
    found: dict[str, Any] = {} if way.shock_up is None else {"shock_up": way.shock_up}
    return found | {"goes_in": way.goes_in, "ends": {each.end: _end_answer(each) for each in way.ends}}


def _end_answer(end: EndSheet) -> dict[str, Any]:
    """Return one end: what applies, with the lists that always stand and the parts that need a form of their own."""
    found = as_mapping(end, "end", "served", "readings", "built", "pressing", "questions", "assumed")
    if end.built is not None:
        found["built"] = as_mapping(end.built, "kit")
    served = end.served
    found |= {
        "readings": [as_mapping(each, "assumed") for each in end.readings],
        "substitutes": [_flat(each) for each in served.substitutes],
        "never": [_flat(each) for each in served.never],
    }
    if served.why is not None and (served.substitutes or served.never):
        found["why"] = served.why
    if end.pressing is not None:
        tools = {} if end.pressing.tools is None else as_mapping(end.pressing.tools, "assumed")
        found["press_tools"] = tools | {"questions": list(end.pressing.questions)}
    return found


def _flat(each: Any) -> dict[str, Any]:
    """Return an entry with its size's own fields beside what is said of it; its label tells the mount."""
    return as_mapping(each.size, "mount", "bearing_compatible") | as_mapping(each, "size")
