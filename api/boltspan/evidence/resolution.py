"""Resolving claims: a whole batch, or one frame with the rates of an earlier batch."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from boltspan.evidence.batch import ROWS_PER_BLOCK, Batch
from boltspan.evidence.intake import End, EvidenceInputError, read_catalogue, read_claims, read_ends
from boltspan.evidence.model import Model
from boltspan.evidence.parameters import Parameters, load_parameters
from boltspan.evidence.reliability import Rates, learn_rates
from boltspan.evidence.results import Result, Shortlist, results_of
from boltspan.evidence.snapshot import Snapshot


@dataclass(frozen=True, slots=True)
class Resolution:
    """A resolved batch: one result for each end, in the order of `ends`, and what was learnt on the way."""

    model_version: str
    results: list[Result]
    batch: Batch
    rates: Rates

    def snapshot(self, name: str) -> Snapshot:
        """The rates learnt, under a name (say, the day of the run), for resolving single frames later."""
        return Snapshot.of(name, self.batch, self.rates)

    def as_document(self) -> dict[str, Any]:
        """The JSON that `boltspan resolve` writes."""
        return {"model_version": self.model_version, "results": self.results}


def resolve(document: Mapping[str, Any], parameters: Parameters | None = None) -> dict[str, Any]:
    """The answer of `boltspan resolve` to its input: `{"model_version", "results"}`, one result for each end.

    `document` has the lists `catalogue`, `ends` and `claims`; lengths are mm. Without `parameters` the shipped ones are
    used. Neither the order of the rows nor a row given twice matters. An end without claims gets its prior; no ends, no
    results. The model is described where each part of it stands; its numbers in parameters.toml.
    EvidenceInputError: input that cannot be resolved; the message names the row.
    """
    return resolve_batch(document, parameters).as_document()


def resolve_batch(
    document: Mapping[str, Any],
    parameters: Parameters | None = None,
    *,
    rows_per_block: int = ROWS_PER_BLOCK,
) -> Resolution:
    """Like `resolve`, keeping the rates learnt.

    `rows_per_block` bounds memory: about so many claims and ends are spread over their states at once.
    """
    if not isinstance(document, Mapping):
        raise EvidenceInputError("the input: accepted: an object with catalogue, ends and claims")
    for key in ("catalogue", "ends", "claims"):
        if key not in document:
            raise EvidenceInputError(f"{key} is missing; accepted: a list of objects")
    model = prepare_model(document["catalogue"], parameters)
    ends = read_ends(document["ends"])
    ordered = _by_frame(ends)
    claims = read_claims(document["claims"], ordered, model.parameters)
    batch = Batch.of(ordered, claims, model, rows_per_block=rows_per_block)
    rates = learn_rates(batch)
    return Resolution(
        model_version=model.parameters.model_version,
        results=_in_order_of(ends, results_of(batch, rates.unsound)),
        batch=batch,
        rates=rates,
    )


def prepare_model(catalogue: Any, parameters: Parameters | None = None) -> Model:
    """The model for the rows of one `catalogue`, to be prepared once and used for many frames.

    EvidenceInputError: a row that cannot be used; ParameterError: the shipped parameters cannot be.
    """
    return Model.prepare(read_catalogue(catalogue), parameters or load_parameters())


def resolve_frame(
    ends: Any,
    claims: Any,
    model: Model,
    snapshot: Snapshot,
    *,
    supported: bool = False,
    shortlist: Shortlist | None = None,
) -> dict[str, Any]:
    """The answer for one frame with the rates of an earlier run: `{"model_version", "snapshot", "results"}`.

    `ends` and `claims` are rows as in the input of `resolve`, all claims of the frame among them. One round, and
    nothing is estimated again; with the catalogue and the claims of that run the results are those of that run. More
    frames than one may be given, each is resolved by itself. With `supported` each candidate names the `claims` that
    go with it; a `shortlist` leaves out candidates of no interest.
    EvidenceInputError: a row that cannot be used, or a snapshot of another version of the model.
    """
    rows = read_ends(ends)
    ordered = _by_frame(rows)
    read = read_claims(claims, ordered, model.parameters)
    batch = Batch.of(ordered, read, model, offsets_mm=snapshot.offsets_mm)
    found = results_of(batch, snapshot.unsound_of(batch), supported=supported, shortlist=shortlist)
    return {
        "model_version": model.parameters.model_version,
        "snapshot": snapshot.name,
        "results": _in_order_of(rows, found),
    }


def _by_frame(ends: Sequence[End]) -> list[End]:
    return sorted(ends, key=lambda end: (end.frame_id, end.end_id))


def _in_order_of(ends: Sequence[End], results: Iterable[Result]) -> list[Result]:
    by_id = {result["end_id"]: result for result in results}
    return [by_id[end.end_id] for end in ends]
