"""Explanations in words a mechanic would use: why an end comes out as it does, and what would settle it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from boltspan.domain.by_evidence import PROVISIONAL_P
from boltspan.domain.drawings.evidence_words import percent
from boltspan.domain.explanation import Explanation
from boltspan.domain.explanation_sides import CLOSE_MM, doubt, sides_words, value_words
from boltspan.domain.lengths import plain
from boltspan.domain.sources import MAKERS_OWN
from boltspan.domain.values import EndValue, trade_width
from boltspan.domain.weighed import same_end

_HEARD: Final = 0.15
"""Weights below this are not told of: the odds move by less than half (judgement)."""
_SPLIT: Final = 0.05
_LEANS: Final = 2.0
"""Below these odds neither of two values is called the likelier one (judgement)."""


def times(log10_odds: float) -> str:
    """Return how many times likelier a weight makes something, to one digit: "200 times", "twice"."""
    ratio = 10 ** min(abs(log10_odds), 9.0)
    if ratio < 1.75:
        return f"{ratio:.1f} times"
    if ratio < 2.5:
        return "twice"
    rounded = float(f"{ratio:.0e}") if ratio >= 10 else round(ratio)
    return f"{rounded:,.0f} times" if ratio < 1e6 else "over a million times"


def weight_words(log10_odds: float, first: EndValue, second: EndValue) -> str:
    """Return what a weight says: "+2.3: 200 times likelier under M8 x 38.1 than under M8 x 28"."""
    sign = f"{log10_odds:+.1f}"
    if abs(log10_odds) < 0.05:
        return f"{'+0.0' if sign in ('+0.0', '-0.0') else sign}: does not tell {_two(first, second)} apart"
    one, other = (first, second) if log10_odds > 0 else (second, first)
    return f"{sign}: {times(log10_odds)} likelier under {value_words(one)} than under {value_words(other)}"


def _two(first: EndValue, second: EndValue) -> str:
    return f"{value_words(first)} and {value_words(second)}"


def why(said: Explanation) -> tuple[str, ...]:
    """Return the whole in sentences: who says what, how likely that is, what the doubt is, and what each claim weighs.

    Last comes what else was weighed in: what is usual, the frame's other end, a running change.
    """
    if not said.weights:
        return ("Nobody has said anything of this end yet.",)
    told = [_headline(said), _how_likely(said)]
    if len(said.sides) > 1:
        told += [doubt(said.first.value, said.second.value), *_one_against_one(said)]
    told += (f"{w.words[:1].upper()}{w.words[1:]}." for w in sorted(said.weights, key=lambda w: -abs(w.log10_odds)))
    first, second = value_words(said.first.value), value_words(said.second.value)
    if abs(said.prior_log10_odds) >= _HEARD:
        usual = first if said.prior_log10_odds > 0 else second
        told.append(f"Before anybody spoke, {usual} was the more usual ({said.prior_log10_odds:+.1f}).")
    if abs(said.other_end_log10_odds) >= _HEARD:
        liked = first if said.other_end_log10_odds > 0 else second
        told.append(f"What is known of the frame's other end speaks for {liked} ({said.other_end_log10_odds:+.1f}).")
    if said.split_probability >= _SPLIT:
        told.append(
            "Perhaps the part was changed while the frame was made, and each holds for some of the bikes: the chance "
            f"of such a running change is {said.split_probability:.2f}."
        )
    if said.settled is not None:
        told.append(f"It is settled as {value_words(said.settled)}; the figures here are the evidence's alone.")
    return tuple(told)


def _headline(said: Explanation) -> str:
    who = sides_words(said.sides)
    if said.outcome == "conflict":
        return f"The sources contradict each other: {who}."
    if said.outcome == "accept":
        return f"The sources carry {value_words(said.first.value)}: {who}."
    return f"It is not certain yet: {who}."


def _how_likely(said: Explanation) -> str:
    first, second = value_words(said.first.value), value_words(said.second.value)
    p, q = percent(said.first.p), percent(said.second.p)
    if said.first.p < _LEANS * said.second.p:
        return f"Neither can be preferred yet: {first} has probability {p}, {second} has {q}."
    how = "much the likelier" if said.first.p >= PROVISIONAL_P else "the likelier, but far from sure"
    return f"{first[:1].upper()}{first[1:]} is {how}: its probability is {p}, that of {second} {q}."


def _one_against_one(said: Explanation) -> tuple[str, ...]:
    alone = len(said.sides) == 2 and all(side.voices == 1 for side in said.sides)
    return ("It is one word against one.",) if alone else ()


def advice(said: Explanation, other_end: EndValue | None) -> tuple[str, ...]:
    """Return what would settle the end, the most useful first; ``other_end`` is the likeliest value there."""
    if not said.weights:
        return (
            "The maker's page, or a caliper on the bare frame between its tabs and on the bolt, would be a beginning.",
        )
    agrees = said.settled is not None and same_end(said.settled, said.first.value)
    if agrees and said.outcome != "conflict":
        return ("Nothing is needed: it is settled, and the evidence agrees with the ruling.",)
    if said.outcome == "accept" and said.settled is None:
        return ("The evidence needs nothing more; a maintainer or the published rule can settle it.",)
    told = []
    if agrees and said.first.p >= PROVISIONAL_P:
        told.append("It is settled, and the evidence agrees with the ruling; what follows would end the contradiction.")
    elif agrees:
        told.append(
            "It is settled, and the evidence leans the same way, though it alone would not carry it; what follows "
            "would end the contradiction."
        )
    elif said.settled is not None:
        told.append(
            f"It is settled as {value_words(said.settled)}, which the evidence does not carry; whoever ruled knew "
            "more, or it wants another look."
        )
    if said.split_probability >= 4 * _SPLIT:
        told.append(
            "Ask for the serial number or the build month of each bike, and ask the maker whether the part changed "
            "while the frame was made."
        )
    if _mixed_up(said, other_end):
        told.append("Measure both ends of one bike and write down which end is which.")
    if _makers_against_each_other(said):
        told.append("Ask the frame's maker which of its own words holds for these years.")
    elif any("it may speak of that one" in w.words for w in said.weights):
        told.append("Find out which model years the source speaks of that says otherwise.")
    told.append(_what_tells_apart(said.first.value, said.second.value))
    if said.witnesses < 2:
        told.append("It has to come from somebody else than so far: one witness never settles an end.")
    elif said.measurement_value <= 0 and said.first.p < 0.5:
        told.append("One measurement will hardly be enough; two people should measure.")
    return tuple(told)


def _makers_against_each_other(said: Explanation) -> bool:
    kinds = [{w.kind for w in said.weights if sign * w.log10_odds >= _HEARD} for sign in (1, -1)]
    return all(side & MAKERS_OWN for side in kinds)


def _mixed_up(said: Explanation, other_end: EndValue | None) -> bool:
    ends = "ends may have been mixed up"
    return other_end is not None and any(ends in w.words for w in said.weights)


def _what_tells_apart(first: EndValue, second: EndValue) -> str:
    """Return the measurement or look that tells two values apart."""
    if first.mount != second.mount and "proprietary" in (first.mount, second.mount):
        return "Ask the frame's maker whether only its own part may be used at this end."
    if first.mount != second.mount:
        return f"Look at the end, or ask for a photo: {_seen(first)}; {_seen(second)}."
    told = []
    if first.bolt_mm != second.bolt_mm and first.bolt_mm is not None and second.bolt_mm is not None:
        low, high = sorted((first.bolt_mm, second.bolt_mm))
        told.append(
            f"Measure the frame's bolt with a caliper, over its plain part or its thread's crests: {plain(low)} or "
            f"{plain(high)} mm, a little under in either case."
        )
    one, other = sorted(trade_width(w) for w in (first.width_mm, second.width_mm) if w is not None)
    if 0 < other - one <= CLOSE_MM:
        told.append(
            f"Measure between the tabs of the bare frame with a caliper, not the old hardware: worn hardware of "
            f"{plain(other)} reads like {plain(one)}, and a rule or a tape cannot tell them apart."
        )
    elif one != other:
        told.append(
            f"Measure the width once more with a caliper, between the tabs of the bare frame: {plain(one)} and "
            f"{plain(other)} are easily told apart, and old hardware may be the wrong one."
        )
    return " ".join(told)


def _seen(value: EndValue) -> str:
    return {
        "hardware": "hardware shows a pin and spacers through a bushing in the eyelet",
        "bearing": "a bearing sits in the eyelet where a bushing would be",
        "trunnion": "a trunnion has no eyelet, the shock's body is bolted straight in",
        "open_eyelet": "with an open eyelet the frame's own bolt goes through without a pin",
        "proprietary": "a part of the maker's own looks like none of the usual ones",
    }[str(value.mount)]


def claim_words(speaker: str, statement: str, weight: str, remarks: Sequence[str]) -> str:
    """Return one sentence for a claim: who says what, what may be behind it, and what it weighs."""
    behind = "".join(f"; {remark}" for remark in remarks)
    return f"{speaker} {statement}{behind} ({weight})"
