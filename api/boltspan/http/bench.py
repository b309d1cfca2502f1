"""The bench: the trade's arithmetic, without key and without state."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from flask import Response

from boltspan.domain.answers import as_mapping, exact
from boltspan.domain.computations import COMPUTATIONS
from boltspan.domain.labels import label_answer
from boltspan.http.call import Call
from boltspan.http.operations import Answer, Resource
from boltspan.http.schemas import bench, bench_answers, bench_examples

resource = Resource("bench", __name__, description="Arithmetic of the bench. No token, no state.")


def _declare(name: str, question: Any, answer: Any, text: str) -> Callable[[Call, Any], Response]:
    """Make the operation at /v1/bench/``name``."""

    work = COMPUTATIONS[name].work

    def view(call: Call, asked: Any) -> Response:
        return call.worked_out(exact(as_mapping(work(asked))))

    view.__name__ = f"work_out_{name.replace('-', '_')}"
    view.__doc__ = text
    asked, answered = bench_examples.EXAMPLES[name]
    return resource.operation(
        f"/v1/bench/{name}",
        method="POST",
        counted="bench",
        body=question,
        examples={"question": asked},
        answers=[Answer(200, answer, "The answer.", answered)],
    )(view)


@resource.operation(
    "/v1/bench/labels",
    method="POST",
    counted="bench",
    body=bench.Labels,
    examples={"one": {"text": "30 x M8"}, "many": {"texts": ["30 x M8", "trunnion"]}},
    answers=[Answer(200, bench_answers.LabelAnswers, "The reading.", bench_examples.LABEL)],
)
def read_labels(call: Call, asked: Mapping[str, Any]) -> Response:
    """Read a size label, or up to 1,000.

    What can be read in two ways is refused with a reason and advice, never guessed. Codes are in /v1/vocabulary. Many
    labels are answered as results, in order.
    """
    if "texts" in asked:
        return call.worked_out({"results": [label_answer(text) for text in asked["texts"]]})
    return call.worked_out(label_answer(asked["text"]))


_declare(
    "readings", bench.ReadingQuestion, bench_answers.ReadingAnswer,
    "Say which size caliper readings speak for.\n\nEach candidate with its probability, the choice when one is sure "
    "enough, and the usual mistake that the reading looks like.",
)  # fmt: skip
_declare(
    "stacks", bench.StackQuestion, bench_answers.StackAnswer,
    "Add up eyelet and spacers, or a pin, between the tabs.\n\nThe worst case decides whether it fits; the root of the "
    "sum of squares informs only.",
)  # fmt: skip
_declare(
    "size-choices", bench.SizeChoiceQuestion, bench_answers.SizeChoiceAnswer,
    "Choose a stocked width.\n\nThe same size, or the next slightly smaller one; never a larger one.",
)  # fmt: skip
_declare(
    "bore-fits", bench.BoreFitQuestion, bench_answers.BoreFitAnswer,
    "Say whether a bolt goes into a bore, by ISO 286 and ISO 965-1.",
)  # fmt: skip
_declare(
    "press-tools", bench.PressToolQuestion, bench_answers.PressToolAnswer,
    "Choose push and catch tools for a bushing.\n\nAmong the workshop's own, as measured; what is missing is named "
    "with its dimensions.",
)  # fmt: skip
_declare(
    "shock-swaps", bench.ShockSwapQuestion, bench_answers.ShockSwapAnswer,
    "Say what another shock needs at one end: move, keep, buy, none, or not at all.",
)  # fmt: skip
_declare(
    "offset-sleeves", bench.OffsetSleeveQuestion, bench_answers.OffsetSleeveAnswer,
    "Say what offset sleeves do to a shock's length and to the bike.",
)  # fmt: skip
