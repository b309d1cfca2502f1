"""Probabilities and weights in words, and the text equivalent of a picture of evidence."""

from __future__ import annotations

from boltspan.domain.drawings.evidence_rows import EvidenceRows, short_name
from boltspan.domain.explanation import ClaimWeight, Explanation

WORD_FROM = 0.05
"""Below this weight (log10 of odds) a claim tells nothing: 1.1 : 1."""


def title(explanation: Explanation) -> str:
    """Return what is to be seen."""
    return f"What the evidence says of the {explanation.end} end"


def description(explanation: Explanation, rows: EvidenceRows) -> str:
    """Return all that the picture tells, as sentences."""
    first, second = explanation.first.value.label, explanation.second.value.label
    said = [
        f"How likely: {'; '.join(f'{c.value.label} {percent(c.p)}' for c in explanation.candidates)}.",
        f"For {first} against {second}:",
        f"before any claim {odds(explanation.prior_log10_odds)};",
    ]
    if abs(explanation.other_end_log10_odds) >= WORD_FROM:
        said.append(f"from the other end {odds(explanation.other_end_log10_odds)};")
    said += [f"{n}, {_claim(weight)};" for n, weight in enumerate(rows.shown, 1)]
    if rows.others:
        said.append(f"{rows.others} others together {odds(rows.others_log10_odds)};")
    return f"{' '.join(said).rstrip(';')}."


def percent(p: float) -> str:
    """Return a probability in percent, never as certain or impossible: "97 %", "over 99.99 %", "under 0.1 %"."""
    if p > 0.9999:
        return "over 99.99 %"
    if p < 0.001:
        return "under 0.1 %"
    places = 2 if p > 0.999 else 1 if p > 0.99 or p < 0.01 else 0
    return f"{p * 100:.{places}f} %"


def odds(log10_odds: float) -> str:
    """Return a weight as odds: "100 : 1 for", "3 : 1 against", "neither way" below ``WORD_FROM``."""
    if abs(log10_odds) < WORD_FROM:
        return "neither way"
    return f"{_times(abs(log10_odds))} : 1 {'for' if log10_odds > 0 else 'against'}"


def short_odds(log10_odds: float) -> str:
    """Return a weight as odds in few letters, for a place beside its bar: "100 : 1", "1 : 3", "neither way"."""
    if abs(log10_odds) < WORD_FROM:
        return "neither way"
    times = _times(abs(log10_odds))
    return f"{times} : 1" if log10_odds > 0 else f"1 : {times}"


def _times(log10_odds: float) -> str:
    if log10_odds >= 6:
        return "millions"
    times = 10**log10_odds
    return f"{times:.1f}" if times < 9.95 else f"{float(f'{times:.2g}'):,.0f}"


def _claim(weight: ClaimWeight) -> str:
    said = [short_name(weight).lower(), f"of {weight.seen_on}"]
    if weight.bolt_mm is not None:
        said.append(f"bolt {_with_spread(weight.bolt_mm, weight.bolt_sd_mm)}")
    if weight.width_mm is not None:
        said.append(f"width {_with_spread(weight.width_mm, weight.width_sd_mm)}")
    if weight.mount not in (None, "hardware"):
        said.append(str(weight.mount).replace("_", " "))
    return f"{', '.join(said)}: {odds(weight.log10_odds)}"


def _with_spread(value: float, sd: float | None) -> str:
    return f"{value:.2f} mm" if sd is None else f"{value:.2f} ± {2 * sd:.2f} mm"
