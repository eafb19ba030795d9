"""Guess: background by the learnt cues, and how sure each answer is."""

from dataclasses import dataclass

import numpy as np

from filigree.geometry.types import BoolArray, FloatArray
from filigree.regions.background.adrift import cuts_away
from filigree.regions.background.belief import LIMIT, beliefs
from filigree.regions.background.cues import NAMES
from filigree.regions.background.decide import decide
from filigree.regions.background.further import FURTHER_NAMES
from filigree.regions.background.learnt import scores, table, trust
from filigree.regions.background.look import Look
from filigree.regions.background.trees import grown, odds

LEAN = 0.5  # log odds given to every field: odds learnt on some styles are too low for others
BORDER_LEAN = 2.0  # the same for a field along the border line of a rim
EDGE_LEAN = (
    -1.0
)  # the same along the edge of a piece without a rim: cut out, it leaves nothing to hold the rest
BORDER = 0.02  # share of its wall that makes a field one along the border
HELD = 5.0  # log odds for leather of a plate that all else hangs on
LEAST = 0.08  # of the field: a guess that opens less looks at its doubts again
STEPS = 3  # of log odds that doubts may be raised by
MOST = 40  # steps until something opens at all
SIMILAR = 0.03  # relative: regions whose measures are nearer than this look alike (drawn by hand)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Guess:
    """Rows guessed to be background and how sure each row is, 0.5 to 1, `(n,)`."""

    opened: BoolArray
    sure: FloatArray


def guess(seen: Look, *, opened: BoolArray, shut: BoolArray, follow: float) -> Guess:
    """Guess every row that is neither `opened` nor `shut`.

    Args:
        seen: cues, groups and neighbours.
        opened: rows settled as background.
        shut: rows settled as leather.
        follow: rows less sure than this follow the surer ones among their look-alikes.
    """
    every = (*NAMES, *FURTHER_NAMES)
    score = odds(grown(), seen.every) + table().blend * scores(seen.every, every)
    outer = BORDER_LEAN if len(seen.border.rim) else EDGE_LEAN
    leant = score + np.where(seen.border.share > BORDER, outer, LEAN)
    pull, chosen = _held(seen.weight * leant, seen, opened=opened, shut=shut)
    sure = certainty(pull, seen, chosen, opened=opened, shut=shut)
    lent = lend(seen, chosen, sure, free=~(opened | shut), under=follow)
    if lent.any():
        turned = np.where(chosen, -1.0, 1.0) * (np.abs(pull) + 1.0)
        chosen = decide(np.where(lent, turned, pull), seen, opened=opened, shut=shut)
    return Guess(opened=chosen, sure=sure)


def _held(
    pull: FloatArray, seen: Look, *, opened: BoolArray, shut: BoolArray
) -> tuple[FloatArray, BoolArray]:
    """Decide; where the choice cuts the piece itself away, keep its edge and open what is left."""
    chosen = _enough(pull, seen, opened=opened, shut=shut)
    away = cuts_away(chosen, seen) & ~opened
    if not away.any():
        return pull, chosen
    kept = np.where(away, -np.abs(pull) - HELD, pull)
    other = _enough(kept, seen, opened=opened, shut=shut)
    return (kept, other) if other.any() else (pull, chosen)


def _enough(pull: FloatArray, seen: Look, *, opened: BoolArray, shut: BoolArray) -> BoolArray:
    """Decide, and where next to nothing would come out, give doubtful rows the benefit.

    A drawing for this work has openings, seldom less than a tenth of its field; odds that lean a little too far
    towards leather turn all alike regions at once (tiles, letters), which this puts right.
    """
    chosen = decide(pull, seen, opened=opened, shut=shut)
    least = LEAST * seen.area[~shut].sum()
    if shut.all() or seen.area[chosen].sum() >= least:
        return chosen
    for step in range(1, MOST + 1):
        more = decide(pull + step * seen.weight, seen, opened=opened, shut=shut)
        if seen.area[more].sum() >= least:
            return more
        if step >= STEPS and (chosen | more).any():
            return chosen if chosen.any() else more
    return chosen


def certainty(
    pull: FloatArray, seen: Look, chosen: BoolArray, *, opened: BoolArray, shut: BoolArray
) -> FloatArray:
    """How sure each row's answer is, the same for equal rows."""
    margin = margins(table().heat * pull, seen, chosen, opened=opened, shut=shut)
    return np.asarray(trust(margin), dtype=np.float64)


def margins(
    odds: FloatArray, seen: Look, chosen: BoolArray, *, opened: BoolArray, shut: BoolArray
) -> FloatArray:
    """Log odds for each row's answer, given that neighbours exclude each other; pooled over equals."""
    odds = np.where(opened, LIMIT, np.where(shut, -LIMIT, odds))
    held = beliefs(odds, seen.pairs)
    toward = np.where(chosen, held, -held)
    return np.asarray(seen.groups.mean(toward[:, None])[:, 0], dtype=np.float64)


def lend(
    seen: Look, chosen: BoolArray, sure: FloatArray, *, free: BoolArray, under: float
) -> BoolArray:
    """Doubtful rows whose look-alikes are surer of the other answer, on the whole."""
    doubt = np.flatnonzero(free & (sure < under))
    firm = np.flatnonzero(free & (sure >= under))
    lent = np.zeros(len(chosen), dtype=bool)
    if len(doubt) == 0 or len(firm) == 0:
        return lent
    size = np.log(np.maximum(seen.groups.marks, 1e-6))
    vote = np.where(chosen[firm], 1.0, -1.0)
    for rows in np.array_split(doubt, 1 + len(doubt) * len(firm) // 1_000_000):
        apart = np.abs(size[rows, None, :] - size[None, firm, :]).max(axis=2)
        say = (apart < SIMILAR) @ vote
        lent[rows] = (say != 0) & ((say > 0) != chosen[rows])
    return lent
