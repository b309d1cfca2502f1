"""One-coin Dawid-Skene and the discrete part of the model on psych/iqitems, against crowd-kit.

Zhang, Chen, Zhou, Jordan, "Spectral methods meet EM", JMLR 17 (2016) 1-44, as crowd-kit 1.4.2 has it. The set holds the
answers of 1525 people to 16 questions with eight choices, and the key.
"""

from __future__ import annotations

import dataclasses
from typing import NamedTuple

import numpy as np
import pandas as pd
import pytest
from crowdkit.aggregation import MajorityVote, OneCoinDawidSkene

from boltspan.evidence import load_parameters, prepare_model
from boltspan.evidence.model import Model
from boltspan.evidence.one_coin import OneCoin, one_coin
from boltspan.evidence.reliability import claim_rates
from tests.outside.published import iq_answers

# crowd-kit 1.4.2 calls pandas in ways that pandas 3 warns about.
pytestmark = [pytest.mark.filterwarnings(f"ignore:The {word} keyword") for word in ("inplace", "copy")]
ANSWERS, KEY = iq_answers()
CHOICES = 8
ROUNDS = 60
SEED = 20260401
FLOOR = 1e-4


class Draw(NamedTuple):
    """Answers of some people, one entry each: the question, the person, the choice (from 0)."""

    tasks: np.ndarray
    people: np.ndarray
    labels: np.ndarray

    def frame(self) -> pd.DataFrame:
        return pd.DataFrame({"task": self.tasks, "worker": self.people, "label": self.labels})


def drawn(people: int, number: int) -> Draw:
    """Draw so many people; who answered nothing at all is not among them."""
    chance = np.random.default_rng((SEED, people, number))
    asked = [row for row in ANSWERS if any(row)]
    rows = [asked[place] for place in chance.choice(len(asked), people, replace=False)]
    cells = [(task, person, row[task] - 1) for task in range(16) for person, row in enumerate(rows) if row[task]]
    return Draw(*np.array(cells).T)


def as_table(found: OneCoin) -> np.ndarray:
    table = np.zeros((16, CHOICES))
    table[found.tasks, found.labels] = found.probabilities
    return table


def ours(draw: Draw) -> np.ndarray:
    kinds, labels = np.unique(draw.labels, return_inverse=True)
    found = one_coin(draw.tasks, draw.people, labels, rounds=ROUNDS)
    return as_table(dataclasses.replace(found, labels=kinds[found.labels]))


def shares(draw: Draw) -> np.ndarray:
    table = np.zeros((16, CHOICES))
    np.add.at(table, (draw.tasks, draw.labels), 1.0)
    return table / table.sum(axis=1, keepdims=True)


@pytest.mark.parametrize("people", [5, 10, 20])
def test_one_coin_is_that_of_crowd_kit(people: int) -> None:
    draw = drawn(people, 0)
    theirs = OneCoinDawidSkene(n_iter=ROUNDS, tol=-np.inf).fit(draw.frame())
    table = ours(draw)
    expected = np.zeros((16, CHOICES))
    expected[np.ix_(theirs.probas_.index, theirs.probas_.columns)] = theirs.probas_
    given = shares(draw) > 0
    assert table[given] == pytest.approx(expected[given], abs=1e-9)
    assert 1 - table.sum(axis=1) == pytest.approx((expected * ~given).sum(axis=1), abs=1e-9)
    _, labels = np.unique(draw.labels, return_inverse=True)
    skills = one_coin(draw.tasks, draw.people, labels, rounds=ROUNDS).skills
    assert skills == pytest.approx(theirs.skills_.sort_index().to_numpy(), abs=1e-9)


def test_majority_shares_are_those_of_crowd_kit() -> None:
    draw = drawn(20, 1)
    theirs = MajorityVote().fit_predict_proba(draw.frame())
    expected = np.zeros((16, CHOICES))
    expected[np.ix_(theirs.index, theirs.columns)] = theirs
    assert shares(draw) == pytest.approx(expected, abs=1e-12)


def discrete_model() -> Model:
    """The model's own way of learning whom to trust, with the settings for a set of this kind."""
    parameters = load_parameters()
    reliability = dataclasses.replace(
        parameters.reliability, contributor_pseudo=3.0, source_pseudo=15.0, unsound_least=0.01, unsound_most=0.95
    )
    return prepare_model([], dataclasses.replace(parameters, reliability=reliability))


def discrete(draw: Draw, model: Model, default: float = 0.35, rounds: int = 40) -> np.ndarray:
    """The part of the model without sizes: S is 1 for the choice named, B that choice's share of all answers."""
    counts = np.bincount(draw.labels, minlength=CHOICES) + 2.0
    background = (counts / counts.sum())[draw.labels]
    named = np.eye(CHOICES)[draw.labels]
    unsound, pseudo = np.full(len(draw.labels), default), model.parameters.reliability.source_pseudo
    for last in range(rounds):
        likelihood = (1.0 - unsound)[:, None] * named + (unsound * background)[:, None]
        logs = np.zeros((16, CHOICES))
        np.add.at(logs, draw.tasks, np.log(likelihood))
        q = np.exp(logs - logs.max(axis=1, keepdims=True))
        q /= q.sum(axis=1, keepdims=True)
        if last == rounds - 1:
            break
        sound = (q[draw.tasks] * (1.0 - unsound)[:, None] * named / likelihood).sum(axis=1)
        source = (pseudo * default + (1.0 - sound).sum()) / (pseudo + len(sound))
        weights, sounds = np.bincount(draw.people)[draw.people], np.bincount(draw.people, sound)[draw.people]
        unsound = claim_rates(np.full(len(sound), source), weights - 1.0, sounds - sound, model)
    return q


def scores(tables: list[np.ndarray]) -> tuple[float, float]:
    """Accuracy (ties share) and log loss against the key."""
    key = np.array(KEY) - 1
    right, loss = [], []
    for table in tables:
        best = np.isclose(table, table.max(axis=1, keepdims=True))
        right.append(np.mean(best[np.arange(16), key] / best.sum(axis=1)))
        loss.append(np.mean(-np.log(np.maximum(table[np.arange(16), key], FLOOR))))
    return float(np.mean(right)), float(np.mean(loss))


@pytest.mark.parametrize("people", [5, 10, 20, 50])
def test_the_discrete_part_says_how_sure_it_may_be(people: int) -> None:
    """Log loss below one-coin throughout and below majority at five people; accuracy never below majority.

    One-coin is more often right from ten people on: how hard a question is, neither knows, and it matters here.
    """
    draws, model = [drawn(people, number) for number in range(30)], discrete_model()
    accuracy, loss = scores([discrete(draw, model) for draw in draws])
    majority_accuracy, majority_loss = scores([shares(draw) for draw in draws])
    assert accuracy >= majority_accuracy
    assert loss < scores([ours(draw) for draw in draws])[1]
    if people == 5:
        assert loss < majority_loss
