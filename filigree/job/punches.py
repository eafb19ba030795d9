"""Punches: the metric set of round punches that every corner is ended from (handbook 2.5)."""

import math

from filigree.job.defaults import default

STEPS = round((default("punch.most") - default("punch.least")) / default("punch.step"))
SIZES = tuple(default("punch.least") + k * default("punch.step") for k in range(STEPS + 1))  # mm


def least_punch(radius: float) -> float:
    """Diameter of the smallest punch of the set's step that leaves no corner tighter than a radius, mm.

    >>> least_punch(0.5), least_punch(1.19)
    (1.0, 2.5)
    """
    step = default("punch.step")
    return max(default("punch.least"), math.ceil(2 * radius / step - 1e-6) * step)
