"""From files to records: the domain reads what the schemas pass, and adds what no schema can say."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final, TypeVar

from boltspan.dataset.contents import Dataset
from boltspan.dataset.documents import Document, frames_in, objects, part, statements_in
from boltspan.dataset.placed import Gathered, Placed, Records
from boltspan.dataset.problems import Problem
from boltspan.domain.errors import InvalidInput
from boltspan.domain.fields import text_from
from boltspan.domain.hardware_sizes import hardware_sizes_from
from boltspan.domain.records import frame_from, make_from, model_from
from boltspan.domain.shock_records import shock_from, shock_model_from
from boltspan.domain.shocks import Shock
from boltspan.domain.statements import claim_from, decision_from
from boltspan.domain.subjects import Record

CODE: Final = "record"
T = TypeVar("T")


class Reader:
    """Reads documents one after the other (``read``); ``problems`` is what the domain finds wrong in them."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []
        self._gathered = Gathered()

    def records(self) -> Records:
        """Return the records read so far."""
        return self._gathered.records()

    def read(self, document: Document, broken: frozenset[str]) -> None:
        """Read one document.

        ``broken`` holds the pointers at which the schemas find its shape wrong: a record there is passed over, since
        it is told about already, while the records beside it are read.
        """
        self._gathered.paths.add(document.path)
        data, path = document.data, document.path
        if document.unread is not None or not isinstance(data, Mapping):
            return
        if document.kind == "dataset" and not broken:
            self._gathered.dataset = self._keep(path, lambda: _dataset(data))
        elif document.kind == "make" and not broken:
            if (make := self._keep(path, lambda: make_from(data))) is not None:
                self._gathered.makes.append(Placed(path, "", make))
        elif document.kind in ("frames", "shocks"):
            self._made(document.kind, path, data, broken)
        elif document.kind == "hardware":
            self._hardware(path, data, broken)

    def _hardware(self, path: str, data: Mapping[str, Any], broken: frozenset[str]) -> None:
        for i, item in objects(part(data, "sizes")):
            at = f"/sizes/{i}"
            self._gathered.ids.add(str(item.get("id")))
            if not _hurt(broken, at):
                row = self._keep(path, lambda x=item, a=at: hardware_sizes_from(x, a))  # type: ignore[misc]
                if row is not None:
                    self._gathered.hardware.append(Placed(path, at, row))

    def _made(self, kind: str, path: str, data: Mapping[str, Any], broken: frozenset[str]) -> None:
        make, model_data = part(data, "make"), part(data, "model")
        if not _hurt(broken, "/make") and not _hurt(broken, "/model"):
            self._model(kind, path, str(make), model_data)
        slug = part(model_data, "slug")
        for pointer, item in frames_in(data):
            self._note_ids(pointer, item)
            if not _hurt(broken, pointer, but=f"{pointer}/subjects/"):
                self._record(kind, path, pointer, (str(make), str(slug)), item, broken)

    def _model(self, kind: str, path: str, make: str, data: Any) -> None:
        if kind == "shocks":
            if (shock_model := self._keep(path, lambda: shock_model_from(make, data, "/model"))) is not None:
                self._gathered.shock_models.append(Placed(path, "/model", shock_model))
        elif (model := self._keep(path, lambda: model_from(make, data, "/model"))) is not None:
            self._gathered.models.append(Placed(path, "/model", model))

    def _record(
        self,
        kind: str,
        path: str,
        pointer: str,
        slugs: tuple[str, str],
        data: Mapping[str, Any],
        broken: frozenset[str],
    ) -> None:
        record: Record | None
        if kind == "shocks":
            record = self._keep(path, lambda: shock_from(*slugs, data, pointer))
        else:
            record = self._keep(path, lambda: frame_from(*slugs, data, pointer))
        if isinstance(record, Shock):
            self._gathered.shocks.append(Placed(path, pointer, record))
        elif record is not None:
            self._gathered.frames.append(Placed(path, pointer, record))
        else:
            return
        claims = self._statements(path, pointer, record, data, "claims", broken, claim_from)
        decisions = self._statements(path, pointer, record, data, "decisions", broken, decision_from)
        self._gathered.claims += claims
        self._gathered.decisions += decisions

    def _statements(
        self,
        path: str,
        pointer: str,
        record: Record,
        data: Mapping[str, Any],
        kind: str,
        broken: frozenset[str],
        read: Callable[[Record, str, Mapping[str, Any], str], T],
    ) -> list[Placed[T]]:
        found = []
        for subject, at, item in statements_in(pointer, data, kind):
            if subject in record.subjects and not _hurt(broken, at):
                statement = self._keep(path, lambda s=subject, i=item, a=at: read(record, s, i, a))  # type: ignore[misc]
                if statement is not None:
                    found.append(Placed(path, at, statement))
        return found

    def _note_ids(self, pointer: str, frame: Mapping[str, Any]) -> None:
        statements = [s for kind in ("claims", "decisions") for _, _, s in statements_in(pointer, frame, kind)]
        self._gathered.ids |= {str(item.get("id")) for item in (frame, *statements)}

    def _keep(self, path: str, read: Callable[[], T]) -> T | None:
        try:
            return read()
        except InvalidInput as e:
            self.problems += [Problem(path, p.pointer, CODE, p.detail, p.got, p.accepted) for p in e.problems]
            return None


def _hurt(broken: frozenset[str], pointer: str, but: str | None = None) -> bool:
    """Whether the shape is wrong at or below ``pointer``, or above it; what stands below ``but`` does not count."""
    return any(
        p == pointer or pointer.startswith(p + "/") or (p.startswith(pointer + "/") and not (but and p.startswith(but)))
        for p in broken
    )


def _dataset(data: Mapping[str, Any]) -> Dataset:
    return Dataset(text_from(data["title"], "/title", 200), str(data["licence"]), data["demo"], int(data["head"]))
