"""Calibration: how often the evidence is right, and how sure it says it is, on claims whose true answers are known."""

from collections.abc import Callable, Mapping
from typing import Any, Final

import numpy as np

from boltspan.evidence.baselines import Predicted, agreement, majority, median, snap
from boltspan.evidence.batch import Batch
from boltspan.evidence.claims import Booleans, Integers
from boltspan.evidence.decide import ACCEPT
from boltspan.evidence.intake import EvidenceInputError, read_answers
from boltspan.evidence.parameters import Parameters
from boltspan.evidence.resolution import Resolution, resolve_batch
from boltspan.evidence.scoring import Scored, measures, reliability_bins, score
from boltspan.evidence.vocabulary import MOUNTS

METHODS: Final = ("model", "majority", "median", "one_coin")
GROUPS: Final = ((1, 1), (2, 2), (3, 3), (4, 5), (6, 8), (9, 0))
"""Numbers of claims that are shown together, from and to; 0: and more."""
ALL: Final = "all"


def calibrate(
    document: Mapping[str, Any], parameters: Parameters | None = None, *, draws: int, seed: int
) -> dict[str, Any]:
    """The calibration report on a document as `resolve` takes it, with a list `answers` beside.

    An answer has `end_id` and the true `mount`, with `bolt_mm` and `width_mm` for hardware; `later` holds the second
    true value of an end with a running change. Such ends count only in `running_changes`. Ends without an answer or
    without a claim are not scored; their claims are still learnt from. The answers are looked at after everything is
    resolved. By method and number of claims each measure has its bootstrap interval from `draws` (0: none) with
    `seed`; baselines accept when their first candidate has `decision.accept`.
    EvidenceInputError: input that cannot be used, or nothing to score; the message names the row and the field.
    """
    if isinstance(document, Mapping) and "answers" not in document:
        raise EvidenceInputError("answers is missing; accepted: a list of objects")
    resolution = resolve_batch(document, parameters)
    batch = resolution.batch
    answers = read_answers(document["answers"], batch.ends)
    claims = np.bincount(batch.table.ends, minlength=len(batch.ends))
    plain = {end: answer for end, answer in answers.items() if answer.later is None and claims[end]}
    changed = {end: answer for end, answer in answers.items() if answer.later is not None and claims[end]}
    if not plain:
        raise EvidenceInputError("answers: no end with one answer has a claim; accepted: at least one such end")
    said = _said(resolution)
    ends = np.fromiter(plain, dtype=np.intp)
    frames, own = batch.frame_of_end[ends], claims[ends]
    scored = {name: score(*said[name], plain, batch.model.parameters) for name in METHODS}
    report: dict[str, Any] = {
        "model_version": resolution.model_version,
        "ends": len(plain),
        "claims": int(own.sum()),
        "not_scored": {
            "no_answer": len(batch.ends) - len(answers),
            "no_claim": sum(not claims[end] for end in answers),
            "running_change": len(changed),
        },
        "draws": draws,
        "seed": seed,
        "methods": {
            name: _by_claims(scored[name], own, lambda s, chosen: _group(s, chosen, frames, draws, seed))
            for name in METHODS
        },
        "bins": {name: reliability_bins(scored[name], np.ones(len(own), dtype=np.bool_)) for name in METHODS},
    }
    if changed:
        places = np.fromiter(changed, dtype=np.intp)
        report["running_changes"] = {name: float(said[name][1][places].mean()) for name in METHODS}
    return report


def _group(scored: Scored, chosen: Booleans, frames: Integers, draws: int, seed: int) -> dict[str, Any]:
    return {"ends": int(chosen.sum()), **measures(scored, chosen, frames, draws=draws, seed=seed)}


def _by_claims(
    scored: Scored, claims: Integers, group: Callable[[Scored, Booleans], dict[str, Any]]
) -> dict[str, dict[str, Any]]:
    """The figures of all ends, then by number of claims where there are any."""
    found = {ALL: group(scored, np.ones(len(claims), dtype=np.bool_))}
    for low, high in GROUPS:
        chosen = (claims >= low) & ((claims <= high) | (high == 0))
        if chosen.any():
            name = str(low) if low == high else f"{low}-{high}" if high else f"{low}+"
            found[name] = group(scored, chosen)
    return found


def _said(resolution: Resolution) -> dict[str, tuple[Predicted, Booleans]]:
    """By method, the candidates of the batch's ends and which ends it would accept."""
    batch = resolution.batch
    snapped = snap(batch)
    said = {
        "model": _of_results(resolution),
        "majority": _sure(majority(batch, snapped), batch),
        "median": _sure(median(batch), batch),
        "one_coin": _sure(agreement(batch, snapped), batch),
    }
    assert tuple(said) == METHODS
    return said


def _sure(predicted: Predicted, batch: Batch) -> tuple[Predicted, Booleans]:
    accepted = np.zeros(len(batch.ends), dtype=np.bool_)
    accepted[predicted.ends[predicted.p >= batch.model.parameters.decision.accept]] = True
    return predicted, accepted


def _of_results(resolution: Resolution) -> tuple[Predicted, Booleans]:
    number = {end.end_id: place for place, end in enumerate(resolution.batch.ends)}
    accepted = np.zeros(len(number), dtype=np.bool_)
    rows = []
    for result in resolution.results:
        end = number[result["end_id"]]
        accepted[end] = result["outcome"] == ACCEPT
        rows += [
            (end, MOUNTS.index(c["mount"]), c.get("bolt_mm", np.nan), c.get("width_mm", np.nan), c["p"])
            for c in result["candidates"]
        ]
    columns = np.array(rows, dtype=np.float64).reshape(-1, 5).T
    ends, mounts = columns[:2].astype(np.intp)
    return Predicted(ends, mounts, *columns[2:]), accepted
