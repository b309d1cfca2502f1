"""The prior of a frame's states and what one sound claim says, written out plainly; see plain_model.py."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

from boltspan.evidence import Parameters

State = tuple[Any, ...]
Claim = dict[str, Any]

HARDWARE = "hardware"
BARE = ("bearing", "open_eyelet", "proprietary", "trunnion")
TOOLS = ("caliper", "ruler")
UNLISTED: State = ("unlisted",)


def below(z: float) -> float:
    """The share of a standard normal variable below z."""
    return 0.5 * math.erfc(-z / math.sqrt(2.0))


class PlainClaims:
    """Prior and likelihood; `of_end` has the prepared claims of each end, `frames` the ends of each frame."""

    n: Parameters
    bolts: tuple[float, ...]
    frames: dict[str, list[str]]
    frame_of: dict[str, str]
    of_end: dict[str, list[Claim]]

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
        if not claim.get("mount_stated", True):
            sound["bearing",] = self.n.mount.bearing_unnamed * any_bolt * any_width
        sound[UNLISTED] = (1 - misnamed) * any_bolt * density
        return sound
