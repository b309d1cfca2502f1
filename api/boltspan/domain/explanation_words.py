"""Explanations in words a mechanic would use: why an end comes out as it does, and what would settle it."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Final

from boltspan.domain.explanation import Explanation
from boltspan.domain.lengths import plain
from boltspan.domain.sources import MAKERS_OWN
from boltspan.domain.values import EndValue, trade_width
from boltspan.domain.weighed import same_end

_HEARD: Final = 0.15
"""Weights below this are not told of: the odds move by less than half (judgement)."""
_SPLIT: Final = 0.05
_CLOSE_MM: Final = Decimal("0.5")
_SOURCES: Final = {
    "spec_page": "the maker's specification page",
    "exploded_diagram": "the maker's drawing",
    "manual": "the maker's manual",
    "maker_reply": "the maker's reply",
    "retailer_chart": "a shop's chart",
    "fitted": "somebody who fitted it",
}
_MOUNTS: Final = {"bearing": "a bearing", "trunnion": "trunnion", "open_eyelet": "an open eyelet",
                  "proprietary": "a part of the maker's own", "hardware": "hardware"}  # fmt: skip


def source_words(kind: str, instrument: str | None = None) -> str:
    """Return who speaks, with an article: "the maker's manual", "a caliper", "a steel rule"."""
    if kind != "measured":
        return _SOURCES[kind]
    return {"steel_rule": "a steel rule", "tape": "a tape"}.get(str(instrument), "a caliper")


def value_words(value: EndValue) -> str:
    """Return a value in words: its size, or its kind of mount with the size where it has one."""
    if value.mount == "hardware" or value.mount is None:
        return value.label
    sizes = value.label if any((value.bolt_mm, value.width_mm, value.eyelet_bore_mm)) else ""
    return sizes or _MOUNTS[value.mount]


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
    """Return the whole in a few sentences: what it comes to, who speaks for what, and what else was weighed in."""
    if not said.weights:
        return ("Nobody has said anything of this end yet.",)
    told = [_headline(said)]
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
            f"Both may be true of different bikes: the chance of a running change is {said.split_probability:.2f}."
        )
    if said.settled is not None:
        told.append(f"It is settled as {value_words(said.settled)}; the figures here are the evidence's alone.")
    return tuple(told)


def _headline(said: Explanation) -> str:
    first, second = value_words(said.first.value), value_words(said.second.value)
    p, q = (f"{min(x, 0.9999):.4g}" if x >= 0.0001 else "under 0.0001" for x in (said.first.p, said.second.p))
    if said.outcome == "conflict":
        return f"The sources contradict each other: {first} has probability {p}, {second} has {q}."
    if said.outcome == "accept":
        return f"The sources carry {first}: its probability is {p}, that of {second} is {q}."
    return f"It is not certain yet: {first} has probability {p}, {second} has {q}."


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
    if agrees:
        told.append("It is settled, and the evidence agrees with the ruling; what follows would end the contradiction.")
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
    if first.bolt_mm != second.bolt_mm and first.bolt_mm is not None and second.bolt_mm is not None:
        low, high = sorted((first.bolt_mm, second.bolt_mm))
        return (
            f"Measure the frame's bolt with a caliper, over its plain part or its thread's crests: {plain(low)} or "
            f"{plain(high)} mm, a little under in either case."
        )
    one, other = sorted(trade_width(w) for w in (first.width_mm, second.width_mm) if w is not None)
    if other - one <= _CLOSE_MM:
        return (
            f"Measure between the tabs of the bare frame with a caliper, not the old hardware: worn hardware of "
            f"{plain(other)} reads like {plain(one)}, and a rule or a tape cannot tell them apart."
        )
    return (
        f"Measure the width once more with a caliper, between the tabs or over both spacers: {plain(one)} and "
        f"{plain(other)} are easily told apart."
    )


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
