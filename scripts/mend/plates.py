"""Plates: perforated faces whose bound is a closed form, for the survey of mending."""

import math

import numpy as np

from filigree.job import Face, Job, limits_of
from filigree.pattern import Pattern
from tests.make.shapes import circle, pattern, rectangle, square_grid, staggered

PLATES = ("square plate", "60-degree plate", "slotted plate")


def drilled(kind: str, seed: int, thickness: str) -> tuple[Pattern, int, float]:
    """Give a plate whose bridges are all too thin, the first free number and the least area it must lose, mm2.

    Round holes on a pitch: each bridge costs each of its two holes one circle segment. Slots side by side: each
    bridge costs the strip that is missing.
    """
    rng = np.random.default_rng(seed)
    wanted = limits_of(Job(face=Face(thickness=thickness))).bridge.good
    bridge = wanted * rng.uniform(0.55, 0.95)
    columns, rows = (int(n) for n in rng.integers(3, 8, size=2))
    if kind == "slotted plate":
        width, length = wanted * rng.uniform(3, 6), wanted * rng.uniform(4, 12)
        pitch = width + bridge
        slots = [rectangle(k * pitch, 0, width, length) for k in range(columns)]
        bound = (columns - 1) * length * (wanted - bridge)
        return pattern(*slots, margin=2 * wanted), columns + 1, bound
    radius = wanted * rng.uniform(1.2, 3)
    pitch = 2 * radius + bridge
    grid = square_grid if kind == "square plate" else staggered
    centres = grid(columns, rows, pitch)
    holes = [circle(x, y, radius, 0.001) for x, y in centres]
    apart = np.hypot(*np.moveaxis(centres[:, None] - centres[None], 2, 0))
    bridges = int((apart < pitch * 1.001).sum() - len(centres)) // 2
    height = (wanted - bridge) / 2
    angle = 2 * math.acos(1 - height / radius)
    bound = 2 * bridges * radius**2 / 2 * (angle - math.sin(angle))
    return pattern(*holes, margin=2 * wanted), len(holes) + 1, bound
