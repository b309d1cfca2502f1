"""One-coin Dawid-Skene: what several people's labels say of each task, each person right with a chance of their own.

Zhang, Chen, Zhou, Jordan, "Spectral methods meet EM", JMLR 17 (2016) 1-44. Only labels that somebody gave to a task are
kept for it; all others share one likelihood there, so their sum is exact and memory grows with the answers alone.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from boltspan.evidence.claims import Integers
from boltspan.evidence.normal import Floats

LEAST_CHANCE: Final = 1e-10
"""A person is never taken to be right or wrong for certain; nor a label to be impossible."""


@dataclass(frozen=True, slots=True)
class OneCoin:
    """P pairs of a task and a label given to it, ascending, with the probability of each.

    `skills` is each person's chance to be right, `priors` each label's share of the tasks. What the probabilities of a
    task leave out belongs to labels that nobody gave to it, by their shares.
    """

    tasks: Integers
    labels: Integers
    probabilities: Floats
    skills: Floats
    priors: Floats


def one_coin(tasks: Integers, people: Integers, labels: Integers, *, rounds: int) -> OneCoin:
    """The pairs after so many rounds of expectation and maximisation, begun with each label's share of the answers.

    One entry of `tasks`, `people` and `labels` for each answer: whole numbers from 0 up, without gaps. With a single
    label everything is certain; without answers there are no pairs. A tie stays a tie.
    """
    label_count, task_count = int(labels.max(initial=-1)) + 1, int(tasks.max(initial=-1)) + 1
    keys, pair_of = np.unique(tasks * max(label_count, 1) + labels, return_inverse=True)
    pair_tasks, pair_labels = np.divmod(keys, max(label_count, 1))
    answers = np.bincount(tasks, minlength=task_count)
    given = np.bincount(people)
    shares = np.bincount(pair_of, minlength=len(keys)) / answers[pair_tasks]
    priors = np.bincount(pair_labels, shares, label_count) / max(task_count, 1)
    skills = np.bincount(people, shares[pair_of]) / given
    for _ in range(rounds):
        right = np.clip(skills, LEAST_CHANCE, 1.0 - LEAST_CHANCE)
        wrong = np.clip((1.0 - skills) / max(label_count - 1, 1), LEAST_CHANCE, 1.0 - LEAST_CHANCE)
        priors = np.maximum(priors, LEAST_CHANCE)
        # Relative to everybody being wrong, a label gains by each person who gave it.
        gain = np.bincount(pair_of, np.log(right[people] / wrong[people]), len(keys)) + np.log(priors[pair_labels])
        unsaid = np.log(
            np.maximum(priors.sum() - np.bincount(pair_tasks, priors[pair_labels], task_count), 0.0) + 1e-300
        )
        highest = unsaid.copy()
        np.maximum.at(highest, pair_tasks, gain)
        shares = np.exp(gain - highest[pair_tasks])
        total = np.bincount(pair_tasks, shares, task_count) + np.exp(unsaid - highest)
        shares /= total[pair_tasks]
        # A label's share of the tasks in which nobody gave it is its prior times what one such label weighs there.
        each = np.exp(-highest) / total
        elsewhere = each.sum() - np.bincount(pair_labels, each[pair_tasks], label_count)
        priors = (np.bincount(pair_labels, shares, label_count) + priors * elsewhere) / max(task_count, 1)
        skills = np.bincount(people, shares[pair_of]) / given
    return OneCoin(pair_tasks, pair_labels, shares, skills, priors)
