"""The two ends of one frame judged together."""

import numpy as np

from boltspan.evidence.claims import Integers
from boltspan.evidence.normal import Floats
from boltspan.evidence.posterior import Weighed, sum_by_end


def couple_ends(weighed: Weighed) -> Floats:
    """The posterior of each end with the frame's other end in view (e x states); an only end keeps its own.

    A claim is, with `pair.other_end_share` of e, about the frame's other end, and a share `pair.alike` of frames has
    two equal ends. Over the `pair.states` likeliest states of both ends together (ties: the first column) the joint
    distribution is exact; its marginals replace the shares of those states within each end, whose total stays.
    """
    frames = weighed.batch.frame_of_end[weighed.block.ends]
    first = np.flatnonzero(np.diff(frames) == 0)
    if not first.size:
        return weighed.posterior
    pair = weighed.batch.model.parameters.pair
    posterior = weighed.posterior.copy()
    both = posterior[first] + posterior[first + 1]
    states = np.argsort(-both, axis=1, kind="stable")[:, : pair.states]
    joint = _log_joint(weighed, first, states)
    joint -= joint.max(axis=(1, 2), keepdims=True)
    np.exp(joint, out=joint)
    joint /= joint.sum(axis=(1, 2), keepdims=True)
    for ends, marginal in ((first, joint.sum(axis=2)), (first + 1, joint.sum(axis=1))):
        rows = ends[:, None]
        posterior[rows, states] = marginal * posterior[rows, states].sum(axis=1, keepdims=True)
    return posterior


def _log_joint(weighed: Weighed, first: Integers, states: Integers) -> Floats:
    """Log of J(s, t) but for a constant: s of the first end of each pair, t of the second (pairs x T x T)."""
    pair = weighed.batch.model.parameters.pair
    terms = _pair_terms(weighed, first, states)
    rows = first[:, None]
    log_first = weighed.log_prior[rows, states]
    second = np.exp(weighed.log_prior[rows + 1, states])
    coupled = (1.0 - pair.alike) * second[:, None, :] + pair.alike * np.eye(states.shape[1])
    with np.errstate(divide="ignore"):  # an unused place has prior 0
        log_coupled = np.log(coupled)
    joint: Floats = log_first[:, :, None] + log_coupled + terms[first] + terms[first + 1].transpose(0, 2, 1)
    return joint


def _pair_terms(weighed: Weighed, first: Integers, states: Integers) -> Floats:
    """For each end of the block the sum of lambda log L(own state, other end's state) (e x T x T).

    With the ratios r = L / (e B) of the single-end pass and h the other end's share of e,
    L(s, t) / (e B) = r(s) - 1 + (1 - h) + h (r(t) - 1) e / (1 - e). Rows of an only end are not used.
    """
    share = weighed.batch.model.parameters.pair.other_end_share
    pair_of_end = np.zeros(len(weighed.posterior), dtype=np.intp)
    pair_of_end[first] = pair_of_end[first + 1] = np.arange(len(first))
    claims = np.arange(len(weighed.ratios))[:, None]
    ends = weighed.batch.table.ends[weighed.block.claims] - weighed.block.ends.start
    sound = weighed.ratios[claims, states[pair_of_end[ends]]] - 1.0
    other = (share * weighed.unsound / (1.0 - weighed.unsound))[:, None] * sound
    logs = np.log((sound + (1.0 - share))[:, :, None] + other[:, None, :])
    logs *= weighed.batch.table.exponents[weighed.block.claims, None, None]
    return sum_by_end(logs, weighed.batch, weighed.block)
