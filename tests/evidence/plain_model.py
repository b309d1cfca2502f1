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

State = tuple[Any, ...]
Claim = dict[str, Any]

HARDWARE = "hardware"
BARE = ("bearing", "open_eyelet", "proprietary", "trunnion")
TOOLS = ("caliper", "ruler")
UNLISTED: State = ("unlisted",)
FEATURES = ("thread_crest", "shank", "sleeve_bore")


def below(z: float) -> float:
    """The share of a standard normal variable below z."""
    return 0.5 * math.erfc(-z / math.sqrt(2.0))


class PlainModel:
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

    # -- prior -------------------------------------------------------------------------------------------------
    def _count_catalogue(self, rows: Sequence[Mapping[str, Any]]) -> None:
        prior = self.n.prior
        mounts: Counter[str] = Counter()
        cells: Counter[tuple[float, float]] = Counter()
        for row in rows:
            mounts[row["mount"]] += row["count"]
            if row["mount"] == HARDWARE:
                bolt = min(self.bolts, key=lambda b: abs(b - row["bolt_mm"]))
                cells[bolt, round(row["width_mm"], 2)] += row["count"]
        self.widths = sorted({width for _, width in cells})
        total = sum(cells.values())
        share = {m: mounts[m] + prior.mount_pseudo * getattr(prior, f"mount_{m}") for m in (HARDWARE, *BARE)}
        self.p_mount = {m: share[m] / sum(share.values()) for m in share}
        bolts = {
            b: sum(cells[b, w] for w in self.widths) + s for b, s in zip(self.bolts, prior.bolt_pseudo, strict=True)
        }
        self.p_bolt = {b: bolts[b] / sum(bolts.values()) for b in self.bolts}
        width = {w: sum(cells[b, w] for b in self.bolts) + prior.width_pseudo for w in self.widths}
        alpha = prior.independence_pseudo
        self.p_cell = {
            (b, w): (cells[b, w] + alpha * self.p_bolt[b] * width[w] / sum(width.values())) / (total + alpha)
            for b in self.bolts
            for w in self.widths
        }
        self.p_width = {w: sum(self.p_cell[b, w] for b in self.bolts) for w in self.widths}

    def _find_states(self) -> None:
        prior, low, high = self.n.prior, *self.n.prior.width_range_mm
        self.novel: dict[str, list[float]] = {}
        self.prior: dict[str, dict[State, float]] = {}
        for frame, ends in self.frames.items():
            named: Counter[float] = Counter()
            for claim in (c for end in ends for c in self.of_end[end]):
                width = claim.get("width")
                if (
                    width is None
                    or claim["source"] == "ruler"
                    or not low - prior.width_margin_mm <= width <= high + prior.width_margin_mm
                ):
                    continue
                if all(abs(width - w) > self.n.sizes.width_tolerance_mm for w in self.widths):
                    named[round(width * 10) / 10] += 1
            kept = sorted(named, key=lambda w: (-named[w], w))[: prior.novel_places]
            self.novel[frame] = kept
            hardware = self.p_mount[HARDWARE]
            share = {w: prior.novel_share * 0.1 / (high - low) * self._multiplier(w) for w in kept}
            weights: dict[State, float] = {(m,): self.p_mount[m] for m in BARE}
            for b in self.bolts:
                for w in self.widths:
                    weights[HARDWARE, b, w] = hardware * (1 - prior.novel_share) * self.p_cell[b, w]
                for w in kept:
                    weights[HARDWARE, b, w] = hardware * self.p_bolt[b] * share[w]
            left = prior.novel_share - sum(share.values())
            weights[UNLISTED] = hardware * max(left, prior.unlisted_least * prior.novel_share)
            total = sum(weights.values())
            self.prior[frame] = {state: weight / total for state, weight in weights.items()}

    def _multiplier(self, width: float) -> float:
        tenths = round(width * 10) % 10
        prior = self.n.prior
        return prior.novel_whole if tenths == 0 else prior.novel_half if tenths == 5 else prior.novel_other

    # -- one claim ---------------------------------------------------------------------------------------------
    def _prepared(self, row: Mapping[str, Any]) -> Claim:
        claim = dict(row)
        bolt, width = claim.pop("bolt_mm", None), claim.pop("width_mm", None)
        if claim["mount"] != HARDWARE:
            return claim
        if claim["source"] in TOOLS:
            claim["readings"] = len(width or bolt or [1])
            bolt = math.fsum(bolt) / len(bolt) if bolt else None
            width = math.fsum(width) / len(width) if width else None
        sizes = self.n.sizes
        if (
            bolt is not None
            and width is not None
            and bolt >= sizes.exchanged_bolt_from_mm
            and width <= sizes.exchanged_width_to_mm
        ):
            bolt, width = width, bolt
        claim.update({key: x for key, x in (("bolt", bolt), ("width", width)) if x is not None})
        inches = self.n.bolt.inch_mm
        claim["inch"] = (
            claim["source"] not in TOOLS
            and bolt is not None
            and any(abs(bolt - i) <= self.n.bolt.inch_tolerance_mm for i in inches)
        )
        return claim

    def _slip(self, difference: float) -> float:
        slip = self.n.slip
        chance = slip.anywhere_share / slip.anywhere_places
        for step, weight in slip.steps:
            if abs(round(difference, 2) - step) <= slip.step_tolerance_mm:
                chance += slip.step_share * weight
        return chance

    def _cell(self, x: float, middle: float, spread: float, resolution: float) -> float:
        return below((x + resolution / 2 - middle) / spread) - below((x - resolution / 2 - middle) / spread)

    def _tail(self, x: float, middle: float, spread: float, resolution: float) -> float:
        share, factor = self.n.reading.tail_share, self.n.reading.tail_factor
        narrow = self._cell(x, middle, spread, resolution)
        return (1 - share) * narrow + share * self._cell(x, middle, factor * spread, resolution)

    def _tool(self, claim: Claim) -> tuple[float, float]:
        tool = self.n.instruments[claim["source"]]
        sigma = math.sqrt(tool.systematic_sd_mm**2 + tool.repeat_sd_mm**2 / claim["readings"])
        return tool.resolution_mm, sigma

    def _bolt(self, claim: Claim, b: float) -> float:
        if "bolt" not in claim:
            return 1.0
        x = claim["bolt"]
        if claim["source"] not in TOOLS:
            slip = self.n.sources[claim["source"]].slip
            right = not claim["inch"] and round(abs(x - b), 6) < self.n.sizes.bolt_tolerance_mm
            return 1 - slip if right else slip / 4
        bolt, reading = self.n.bolt, self.n.reading
        resolution, sigma = self._tool(claim)
        low, high = bolt.crest_limits_mm[self.bolts.index(b)]
        things = (
            ((low + high) / 2, (high - low) / math.sqrt(12)),
            (b + bolt.shank_shift_mm, bolt.shank_sd_mm),
            (b + bolt.sleeve_bore_shift_mm, bolt.sleeve_bore_sd_mm),
        )
        shares = getattr(bolt, f"feature_{claim.get('feature', 'unstated')}")
        right_part: float = sum(
            share * self._tail(x, middle, math.hypot(sigma, u), resolution)
            for share, (middle, u) in zip(shares, things, strict=True)
        )
        spread = math.hypot(sigma, reading.wrong_bore_sd_mm)
        wrong = sum(share * self._cell(x, bore, spread, resolution) for bore, share in reading.wrong_bores)
        rest = 1 - sum(share for _, share in reading.wrong_bores)
        wrong += rest * resolution / reading.wrong_bore_range_mm
        return (1 - reading.wrong_bore_share) * right_part + reading.wrong_bore_share * wrong

    def _width(self, claim: Claim, w: float, offset: float) -> float:
        if "width" not in claim:
            return 1.0
        x: float = claim["width"]
        slip = self.n.sources[claim["source"]].slip
        named = abs(x - w) < self.n.sizes.width_tolerance_mm
        if claim["source"] == "fitted":
            return self._fitted_width(x, w)
        if claim["source"] not in TOOLS:
            return (1 - slip) * named + slip * self._slip(abs(x - w))
        reading, width = self.n.reading, self.n.width
        resolution, sigma = self._tool(claim)
        x -= offset if claim["source"] == "caliper" else 0.0
        shares = getattr(width, f"condition_{claim.get('width_feature', 'unstated')}")
        right: float = sum(
            share * self._tail(x, w + shift, math.hypot(sigma, u), resolution)
            for share, shift, u in zip(shares, width.shift_mm, width.sd_mm, strict=True)
        )
        step = abs(round(10 * x) - round(10 * w)) / 10
        return (
            (1 - reading.wrong_width_share - slip) * right
            + slip * self._slip(step) * resolution / 0.1
            + reading.wrong_width_share * resolution / reading.wrong_width_range_mm
        )

    def _fitted_width(self, x: float, w: float) -> float:
        fitted, tolerance = self.n.fitted, self.n.sizes.width_tolerance_mm
        smaller = [c for c in self.widths if self.n.sizes.same_width_mm < round(w - c, 6) <= fitted.smaller_reach_mm]
        exact = fitted.exact if smaller else fitted.exact + fitted.smaller
        chance = exact * (abs(x - w) < tolerance)
        chance += sum(fitted.smaller / len(smaller) for c in smaller if abs(x - c) < tolerance)
        return chance + (1 - fitted.exact - fitted.smaller) * self._slip(abs(x - w))

    def _sound(self, claim: Claim, offset: float) -> dict[State, float]:
        """S of every state of the claim's frame."""
        misnamed = self.n.mount.misnamed
        states = self.prior[self.frame_of[claim["end_id"]]]
        if claim["mount"] != HARDWARE:
            return {state: 1 - misnamed if state == (claim["mount"],) else misnamed / 4 for state in states}
        bolt = {b: self._bolt(claim, b) for b in self.bolts}
        width = {s[2]: self._width(claim, s[2], offset) for s in states if s[0] == HARDWARE}
        any_bolt = sum(self.p_bolt[b] * bolt[b] for b in self.bolts)
        any_width = sum(self.p_width[w] * width[w] for w in self.widths) if "width" in claim else 1.0
        grid = self.n.instruments[claim["source"]].resolution_mm if claim["source"] in TOOLS else 0.1
        low, high = self.n.prior.width_range_mm
        density = grid / (high - low) if "width" in claim else 1.0
        sound = {s: (1 - misnamed) * bolt[s[1]] * width[s[2]] for s in states if s[0] == HARDWARE}
        sound.update({(m,): misnamed / 4 * any_bolt * any_width for m in BARE})
        sound[UNLISTED] = (1 - misnamed) * any_bolt * density
        return sound

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
