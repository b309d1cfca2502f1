"""The evidence model written out plainly: one claim, one state, one sum after the other.

Slow, and without arrays, so that it shares no shortcut with the package. Only the numbers come from the package's
parameter file; readings, states, rates and decisions are worked out here from the rules of the model.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from boltspan.evidence import Parameters
from tests.evidence.plain_claims import HARDWARE, TOOLS, UNLISTED, Claim, PlainClaims, State


class PlainModel(PlainClaims):
    """One batch, resolved plainly. `results` holds a result for each end, by end_id."""

    def __init__(self, document: Mapping[str, Any], numbers: Parameters) -> None:
        self.n = numbers
        self.bolts = numbers.bolt.nominal_mm
        self._count_catalogue(document["catalogue"])
        self.frames: dict[str, list[str]] = defaultdict(list)
        for end in document["ends"]:
            self.frames[end["frame_id"]].append(end["end_id"])
        self.frame_of = {end["end_id"]: end["frame_id"] for end in document["ends"]}
        claims = sorted(document["claims"], key=lambda claim: (claim["sequence"], claim["claim_id"]))
        self.claims = [self._prepared(claim) for claim in claims]
        self.of_end: dict[str, list[Claim]] = {end["end_id"]: [] for end in document["ends"]}
        for claim in self.claims:
            self.of_end[claim["end_id"]].append(claim)
        self._find_states()
        self._set_exponents()
        self._run_rounds()
        self.results = {end: result for ends in self.frames.values() for end, result in self._finish(ends).items()}

    # -- dependence and rounds ---------------------------------------------------------------------------------
    def _set_exponents(self) -> None:
        self.witnesses: dict[str, int] = {}
        for end, claims in self.of_end.items():
            first: dict[str, Any] = {}
            for claim in claims:
                if claim["source"] not in (*TOOLS, "fitted") and "document_id" in claim:
                    first.setdefault(claim["source"], ("page", claim["document_id"]))
            for claim in claims:
                source = claim["source"]
                if source == "fitted":
                    claim["group"] = ("fitted", claim["contributor"])
                elif source in TOOLS:
                    claim["group"] = None
                elif "document_id" in claim:
                    claim["group"] = ("page", claim["document_id"])
                else:
                    claim["group"] = first.get(source, ("untagged", source))
            reports = {(claim["contributor"], claim["group"] or claim["claim_id"]) for claim in claims}
            repeats = Counter((claim["contributor"], claim["group"]) for claim in claims)
            for claim in claims:
                person, group = claim["contributor"], claim["group"]
                c = sum(reporter == person for reporter, _ in reports)
                readers = sum(reported == group for _, reported in reports)
                once = min(1 / readers, 1 / math.sqrt(c)) if group else 1 / c
                claim["lambda"] = once / repeats[person, group] if group else once
            measured = {claim["contributor"] for claim in claims if claim["group"] is None}
            self.witnesses[end] = len(measured) + len({claim["group"] for claim in claims} - {None})

    def _run_rounds(self) -> None:
        self.offsets: dict[str, float] = defaultdict(float)
        for claim in self.claims:
            claim["e"] = self.n.sources[claim["source"]].unsound
        self._look()
        for _ in range(self.n.reliability.rounds - 1):
            q = {end: self._posterior(end) for end in self.of_end}
            for claim in self.claims:
                likelihood, e = self._likelihood(claim), claim["e"]
                claim["gamma"] = sum(
                    p * (1 - e) * claim["S"][state] / likelihood(state) for state, p in q[claim["end_id"]].items()
                )
            self._learn_rates()
            self._learn_offsets(q)
            self._look()

    def _look(self) -> None:
        for claim in self.claims:
            claim["S"] = self._sound(claim, self.offsets[claim["contributor"]])
            prior = self.prior[self.frame_of[claim["end_id"]]]
            claim["B"] = sum(prior[state] * s for state, s in claim["S"].items())

    def _likelihood(self, claim: Claim) -> Callable[[State], float]:
        return lambda state: (1 - claim["e"]) * claim["S"][state] + claim["e"] * claim["B"]

    def _posterior(self, end: str) -> dict[State, float]:
        logs = {state: math.log(p) for state, p in self.prior[self.frame_of[end]].items()}
        for claim in self.of_end[end]:
            likelihood = self._likelihood(claim)
            for state in logs:
                logs[state] += claim["lambda"] * math.log(likelihood(state))
        most = max(logs.values())
        weights = {state: math.exp(log - most) for state, log in logs.items()}
        total = sum(weights.values())
        return {state: weight / total for state, weight in weights.items()}

    def _learn_rates(self) -> None:
        reliability = self.n.reliability
        rate = {}
        for source, expected in self.n.sources.items():
            own = [claim for claim in self.claims if claim["source"] == source]
            unsound = sum(claim["lambda"] * (1 - claim["gamma"]) for claim in own)
            pseudo = reliability.source_pseudo
            rate[source] = (pseudo * expected.unsound + unsound) / (pseudo + sum(claim["lambda"] for claim in own))
        for claim in self.claims:
            others = [
                other
                for other in self.claims
                if other["contributor"] == claim["contributor"] and other["end_id"] != claim["end_id"]
            ]
            pseudo = reliability.contributor_pseudo
            sound = pseudo * (1 - rate[claim["source"]]) + sum(other["lambda"] * other["gamma"] for other in others)
            e = 1 - sound / (pseudo + sum(other["lambda"] for other in others))
            claim["e"] = min(max(e, reliability.unsound_least), reliability.unsound_most)

    def _learn_offsets(self, q: Mapping[str, Mapping[State, float]]) -> None:
        offset = self.n.offset
        residuals = defaultdict(list)
        for claim in self.claims:
            if claim["source"] != "caliper" or "width" not in claim:
                continue
            by_width: dict[float, float] = defaultdict(float)
            for state, p in q[claim["end_id"]].items():
                if state[0] == HARDWARE:
                    by_width[state[2]] += p
            best = max(by_width, key=lambda w: by_width[w])
            if by_width[best] > offset.sure_width and abs(claim["width"] - best) <= offset.window_mm:
                residuals[claim["contributor"]].append(claim["width"] - best)
        variance = offset.reading_sd_mm**2 + offset.part_sd_mm**2
        self.offsets = defaultdict(float)
        for person, found in residuals.items():
            if len(found) >= offset.least_claims:
                self.offsets[person] = (sum(found) / variance) / (len(found) / variance + 1 / offset.prior_sd_mm**2)

    # -- both ends, split, outcome, explanation ----------------------------------------------------------------
    def _finish(self, ends: Sequence[str]) -> dict[str, dict[str, Any]]:
        single = {end: self._posterior(end) for end in ends}
        p = {end: dict(single[end]) for end in ends}
        if len(ends) == 2:
            self._couple(sorted(ends), single, p)
        return {end: self._result(end, p[end]) for end in ends}

    def _couple(
        self, ends: Sequence[str], single: Mapping[str, Mapping[State, float]], p: Mapping[str, dict[State, float]]
    ) -> None:
        a, b = ends
        pair, prior = self.n.pair, self.prior[self.frame_of[a]]
        top = sorted(single[a], key=lambda s: -(single[a][s] + single[b][s]))[: pair.states]
        logs = {}
        for s in top:
            for t in top:
                logs[s, t] = math.log(prior[s] * ((1 - pair.alike) * prior[t] + pair.alike * (s == t)))
                logs[s, t] += self._log_pair(a, s, t) + self._log_pair(b, t, s)
        most = max(logs.values())
        joint = {st: math.exp(log - most) for st, log in logs.items()}
        total = sum(joint.values())
        for end, place in ((a, 0), (b, 1)):
            held = sum(single[end][s] for s in top)
            for s in top:
                p[end][s] = held * sum(j for st, j in joint.items() if st[place] == s) / total

    def _log_pair(self, end: str, own: State, other: State) -> float:
        share = self.n.pair.other_end_share
        return math.fsum(
            claim["lambda"]
            * math.log(
                (1 - claim["e"]) * claim["S"][own] + claim["e"] * (share * claim["S"][other] + (1 - share) * claim["B"])
            )
            for claim in self.of_end[end]
        )

    def _result(self, end: str, p: Mapping[State, float]) -> dict[str, Any]:
        decision, split = self.n.decision, self.n.split
        claims, order = self.of_end[end], sorted(p, key=lambda state: -p[state])
        v1 = order[0]
        likelihoods = [self._likelihood(claim) for claim in claims]
        odds = p[v1] * sum(
            split.chance
            * split.second_value
            * math.prod(
                (0.5 + 0.5 * likelihood(j) / likelihood(v1)) ** claim["lambda"]
                for claim, likelihood in zip(claims, likelihoods, strict=True)
            )
            for j in order[1 : 1 + split.candidates]
        )
        split_probability = odds / (1 + odds)
        disputed = any(max(map(likelihood, p)) / likelihood(v1) > decision.conflict_ratio for likelihood in likelihoods)
        outcome = "insufficient"
        if (
            p[v1] * (1 - split_probability) >= decision.accept
            and v1 != UNLISTED
            and self.witnesses[end] >= decision.witnesses
            and not any(claim.get("inch") for claim in claims)
        ):
            outcome = "accept"
        elif len(claims) >= decision.conflict_claims and disputed:
            outcome = "conflict"
        first, second = [state for state in order if state != UNLISTED][:2]
        prior = self.prior[self.frame_of[end]]
        return {
            "outcome": outcome,
            "p": p,
            "split_probability": split_probability,
            "witnesses": self.witnesses[end],
            "first": first,
            "second": second,
            "prior_log10_odds": math.log10(prior[first] / prior[second]),
            "weights": {
                claim["claim_id"]: claim["lambda"] * math.log10(likelihood(first) / likelihood(second))
                for claim, likelihood in zip(claims, likelihoods, strict=True)
            },
        }
