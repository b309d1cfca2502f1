"""JSON forms of makes, models and frames, both ways.

The schemas check shape; what a schema cannot say is checked here. Every function that reads takes the JSON Pointer of
its part and raises InvalidInput naming the fields below it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from boltspan.domain.errors import InvalidInput
from boltspan.domain.fields import date_from, text_from, years_from, years_json
from boltspan.domain.frames import END_PAIRS, QUALIFIERS, RECORDS, Frame, Make, Model, Qualifier, SameEnds
from boltspan.domain.ids import KINDS, check_id, is_id
from boltspan.domain.names import check_slug, name
from boltspan.domain.problems import Problems
from boltspan.domain.statements import source_from, source_json


def make_from(data: Mapping[str, Any], pointer: str = "") -> Make:
    """Return the make in ``data`` (keys slug, name, aliases)."""
    return Make(
        check_slug(data.get("slug"), f"{pointer}/slug"),
        name(data.get("name"), f"{pointer}/name"),
        tuple(name(a, f"{pointer}/aliases/{i}") for i, a in enumerate(data.get("aliases", ()))),
    )


def make_json(make: Make) -> dict[str, Any]:
    """Return the JSON form of a make."""
    return {"slug": make.slug, "name": make.name, **({"aliases": list(make.aliases)} if make.aliases else {})}


def model_from(make: str, data: Mapping[str, Any], pointer: str = "") -> Model:
    """Return the model of ``make`` in ``data`` (keys name, slug, aliases)."""
    return Model(
        make,
        check_slug(data.get("slug"), f"{pointer}/slug"),
        name(data.get("name"), f"{pointer}/name"),
        tuple(name(a, f"{pointer}/aliases/{i}") for i, a in enumerate(data.get("aliases", ()))),
    )


def model_json(model: Model) -> dict[str, Any]:
    """Return the JSON form of a model, without its make."""
    return {"name": model.name, "slug": model.slug, **({"aliases": list(model.aliases)} if model.aliases else {})}


def qualifier_from(data: Mapping[str, Any], pointer: str) -> Qualifier:
    """Return the qualifier in ``data`` (keys kind, from, to, is, ask). At least one of from, to, is must be there."""
    kind = data.get("kind")
    if kind not in QUALIFIERS:
        raise_one(f"{pointer}/kind", "unknown_qualifier", "this is no kind of qualifier", kind, ", ".join(QUALIFIERS))
    if not any(k in data for k in ("from", "to", "is")):
        raise_one(pointer, "qualifier_says_nothing", "a qualifier bounds or names something", data, "from, to or is")
    return Qualifier(
        str(kind),
        text_from(data.get("ask"), f"{pointer}/ask", 200),
        *(text_from(data[k], f"{pointer}/{k}", 60) if k in data else None for k in ("from", "to", "is")),
    )


def qualifier_json(qualifier: Qualifier) -> dict[str, str]:
    """Return the JSON form of a qualifier."""
    parts = {
        "kind": qualifier.kind,
        "from": qualifier.start,
        "to": qualifier.end,
        "is": qualifier.equals,
        "ask": qualifier.ask,
    }
    return {k: v for k, v in parts.items() if v is not None}


def ends_from(data: Any, pointer: str) -> tuple[str, str]:
    """Return the pair of end names in ``data``, one of END_PAIRS in its order."""
    pair = tuple(data) if isinstance(data, list) else ()
    if pair not in END_PAIRS:
        raise_one(
            pointer,
            "bad_ends",
            "ends are one pair, named as the maker names them",
            data,
            "; ".join(", ".join(p) for p in END_PAIRS),
        )
    return (pair[0], pair[1])


def same_ends_from(data: Mapping[str, Any], ends: tuple[str, str], pointer: str) -> SameEnds:
    """Return the mapping of another pair's names onto ``ends`` (keys names, source). Both ends must be mapped."""
    names = data.get("names")
    if not isinstance(names, Mapping) or not all(isinstance(n, str) for n in (*names, *names.values())):
        raise InvalidInput.one(
            f"{pointer}/names",
            "bad_ends",
            "the names of the other pair are missing",
            got=names,
            accepted="both names of one other pair, each with one of this frame's ends",
        )
    foreign = tuple(names)
    if tuple(sorted(foreign)) not in {tuple(sorted(p)) for p in END_PAIRS} or set(foreign) == set(ends):
        raise_one(
            f"{pointer}/names",
            "bad_ends",
            "the names are another pair of ends",
            list(foreign),
            "both names of one other pair",
        )
    if set(names.values()) != set(ends):
        raise_one(
            f"{pointer}/names",
            "bad_ends",
            "each name stands for one of this frame's ends",
            list(names.values()),
            ", ".join(ends),
        )
    return SameEnds(tuple(sorted(names.items())), source_from(data.get("source", {}), f"{pointer}/source"))


@dataclass(frozen=True, slots=True)
class RecordState:
    """Whether a record answers for itself, and what became of it when not."""

    record: str
    into: tuple[str, ...] = ()
    withdrawn_on: str | None = None
    why: str | None = None


class HasState(Protocol):
    """A frame or a shock, as far as its record goes."""

    @property
    def record(self) -> str: ...
    @property
    def into(self) -> tuple[str, ...]: ...
    @property
    def withdrawn_on(self) -> str | None: ...
    @property
    def why(self) -> str | None: ...


def record_state_from(
    data: Mapping[str, Any], pointer: str, kind: str, records: Sequence[str], problems: Problems
) -> RecordState:
    """Return what ``data`` says became of a record of ``kind`` (keys record, into, withdrawn_on, why).

    ``records`` are the states there are; the first is that of a record that answers for itself. What is wrong is added
    to ``problems``.
    """
    on = why = None
    record = data.get("record", records[0])
    if record not in records:
        problems.add(f"{pointer}/record", "unknown_record", "a record has no such state", record, ", ".join(records))
    raw = data.get("into", [])
    into = tuple(str(x) for x in ([raw] if isinstance(raw, str) else raw))
    for i, other in enumerate(into):
        if not is_id(kind, other):
            accepted = f"{KINDS[kind]}- and ten characters"
            problems.add(f"{pointer}/into/{i}", "bad_id", f"this is no {kind} id", other, accepted)
    wanted = {"merged": 1, "divided": 2}.get(record, 0)
    if (wanted == 1 and len(into) != 1) or (wanted == 2 and len(into) < 2) or (wanted == 0 and into):
        accepted = {0: "no into", 1: f"one {kind} id", 2: f"two {kind} ids or more"}[wanted]
        problems.add(f"{pointer}/into", "bad_into", f"a record {record!r} names where it went", list(into), accepted)
    if record == "withdrawn" or "withdrawn_on" in data or "why" in data:
        on = problems.keep(lambda: date_from(data.get("withdrawn_on"), f"{pointer}/withdrawn_on"))
        why = problems.keep(lambda: text_from(data.get("why"), f"{pointer}/why", 500))
        if record != "withdrawn":
            problems.add(
                f"{pointer}/record",
                "not_withdrawn",
                "only a withdrawn record has withdrawn_on and why",
                record,
                "withdrawn",
            )
    return RecordState(str(record), into, on, why)


def record_state_json(record: HasState) -> dict[str, Any]:
    """Return the JSON form of what became of a record."""
    found: dict[str, Any] = {"record": record.record}
    if record.into:
        found["into"] = record.into[0] if record.record == "merged" else list(record.into)
    if record.record == "withdrawn":
        found |= {"withdrawn_on": record.withdrawn_on, "why": record.why}
    return found


def frame_from(make: str, model: str, data: Mapping[str, Any], pointer: str = "") -> Frame:
    """Return the frame record in ``data`` (a frame of a frame file without its subjects); problems are told at once."""
    problems = Problems()
    frame_id = problems.keep(lambda: check_id("frame", data.get("id"), f"{pointer}/id"))
    years = problems.keep(lambda: years_from(data.get("years", {}), f"{pointer}/years"))
    ends = problems.keep(lambda: ends_from(data.get("ends"), f"{pointer}/ends"))
    qualifier = same_ends = None
    if "qualifier" in data:
        qualifier = problems.keep(lambda: qualifier_from(data["qualifier"], f"{pointer}/qualifier"))
    if "same_ends" in data and ends is not None:
        pair = ends
        same_ends = problems.keep(lambda: same_ends_from(data["same_ends"], pair, f"{pointer}/same_ends"))
    state = record_state_from(data, pointer, "frame", RECORDS, problems)
    problems.raise_any()
    assert frame_id is not None and years is not None and ends is not None
    return Frame(
        frame_id,
        make,
        model,
        state.record,
        years,
        ends,
        qualifier,
        same_ends,
        state.into,
        state.withdrawn_on,
        state.why,
    )


def frame_json(frame: Frame) -> dict[str, Any]:
    """Return the JSON form of a frame's record fields, without make, model and subjects."""
    found: dict[str, Any] = {"id": frame.id, **record_state_json(frame), "years": years_json(frame.years)}
    if frame.qualifier is not None:
        found["qualifier"] = qualifier_json(frame.qualifier)
    found["ends"] = list(frame.ends)
    if frame.same_ends is not None:
        found["same_ends"] = {"names": dict(frame.same_ends.names), "source": source_json(frame.same_ends.source)}
    return found


def raise_one(pointer: str, code: str, detail: str, got: object, accepted: str) -> None:
    """Raise InvalidInput with this one problem."""
    problems = Problems()
    problems.add(pointer, code, detail, got, accepted)
    problems.raise_any()
