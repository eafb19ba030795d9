"""Independent sets against every subset (brute force) and against integer programming."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from filigree.regions.background import independent
from filigree.regions.background.belief import beliefs
from filigree.regions.background.independent import best_set

SCORES = st.lists(st.integers(-5, 20), min_size=1, max_size=11)


def brute(scores, pairs):
    """Largest sum over all subsets without a pair."""
    best = 0.0
    for bits in itertools.product([False, True], repeat=len(scores)):
        chosen = np.array(bits)
        if not any(chosen[a] and chosen[b] for a, b in pairs):
            best = max(best, float(scores[chosen].sum()))
    return best


def table(count, draw):
    """Random pairs of rows."""
    every = [(a, b) for a in range(count) for b in range(a)]
    picked = [p for p in every if draw.random() < 0.35]
    return np.array(picked, dtype=np.int64).reshape(-1, 2)


@settings(max_examples=60, deadline=None)
@given(scores=SCORES, seed=st.integers(0, 10_000))
def test_no_subset_is_better(scores, seed):
    scores = np.array(scores, dtype=float)
    pairs = table(len(scores), np.random.default_rng(seed))
    chosen = best_set(scores, pairs)
    assert not (chosen[pairs[:, 0]] & chosen[pairs[:, 1]]).any()
    assert scores[chosen].sum() == pytest.approx(brute(scores, pairs))


def test_large_parts_agree_with_integer_programming(monkeypatch):
    rng = np.random.default_rng(5)
    pairs = np.unique(np.sort(rng.integers(0, 60, (150, 2)), axis=1), axis=0)
    pairs = pairs[pairs[:, 0] != pairs[:, 1]]
    scores = rng.uniform(0.5, 2, 60)
    by_branching = scores[best_set(scores, pairs)].sum()
    monkeypatch.setattr(independent, "STEPS", 0)
    by_program = scores[best_set(scores, pairs)].sum()
    assert by_branching == pytest.approx(by_program)


def test_a_long_chain_is_solved_by_small_rules(monkeypatch):
    monkeypatch.setattr(independent, "STEPS", 0)  # neither branching nor programming allowed
    monkeypatch.setattr(independent, "_program", None)
    pairs = np.column_stack([np.arange(999), np.arange(1, 1000)])
    chosen = best_set(np.ones(1000), pairs)
    assert chosen.sum() == 500  # closed form: every second link


def test_belief_of_a_tree_is_exact():
    scores = np.array([0.3, 1.1, -0.4, 0.8])
    pairs = np.array([[0, 1], [1, 2], [1, 3]])
    weight = np.zeros((4, 2))
    for bits in itertools.product([0, 1], repeat=4):
        if not any(bits[a] and bits[b] for a, b in pairs):
            share = np.exp(scores @ np.array(bits))
            for row, bit in enumerate(bits):
                weight[row, bit] += share
    wanted = np.log(weight[:, 1] / weight[:, 0])  # marginals counted out
    assert beliefs(scores, pairs) == pytest.approx(wanted, abs=1e-4)
