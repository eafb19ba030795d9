"""Stitches: has every hole leather round it, by openings and by the edge (handbook 4)?"""

import math
from collections.abc import Sequence
from dataclasses import replace

from filigree.checks.finding import Finding
from filigree.checks.words import NOISE, mm_up
from filigree.geometry.types import XY
from filigree.job import Limits, default
from filigree.measure import Fallen, Measures
from filigree.units import mm_down


def judge_stitches(
    fallen: Sequence[Fallen], limits: Limits, *, inset: float
) -> tuple[Finding, ...]:
    """Stop at every opening that stitch holes fall into, the most holes first.

    Args:
        fallen: openings and the holes in them.
        limits: how far an opening keeps from the stitch line.
        inset: of the stitch line from the edge, mm.
    """
    remedy = _remedy(min((f.room for f in fallen), default=0.0), limits, inset)
    return tuple(
        Finding(
            check="stitch-hole",
            severity="stop",
            at=one.at,
            measured=one.holes,
            wanted=0,
            say=(
                f"{'A stitch hole falls' if one.holes == 1 else f'{one.holes} stitch holes fall'} into opening "
                f"{one.opening} and hold{'s' if one.holes == 1 else ''} nothing: {remedy}."
            ),
            why=f"stitch line {inset:.1f} mm from the edge",
            unit="",
        )
        for one in sorted(fallen, key=lambda f: (-f.holes, f.opening))
    )


def judge_inset(inset: float, *, at: XY) -> tuple[Finding, ...]:
    """Find a stitch line that runs too near the edge to hold (handbook 4).

    Args:
        inset: of the stitch line from the edge, mm.
        at: a place on the edge.
    """
    wanted = default("stitch.inset_floor")
    if inset >= wanted - NOISE:
        return ()
    return (
        Finding(
            check="stitch-edge",
            severity="caution",
            at=at,
            measured=inset,
            wanted=wanted,
            say=(
                f"The stitch line runs {mm_down(inset)} mm from the edge, where stitches tear out: "
                f"give [stitch] inset = {mm_up(wanted)} or more."
            ),
            why="[stitch] inset",
        ),
    )


def beside_stops(measures: Measures, fallen: Sequence[Fallen]) -> Measures:
    """Leave out the margins to the stitch line of openings that holes fall into: the stop says it."""
    told = {one.opening for one in fallen}
    return replace(
        measures,
        margins=tuple(
            m for m in measures.margins if not (m.beyond == "stitch" and m.opening in told)
        ),
    )


def _remedy(room: float, limits: Limits, inset: float) -> str:
    """What to try: a smaller inset where the rim has room for one, else a wider rim."""
    most = math.floor((room - limits.stitch) * 10 + 1e-6) / 10
    if most >= default("stitch.inset_floor"):
        return f"give [stitch] inset = {most:.1f} or less, or keep openings {mm_up(limits.stitch)} mm from the line"
    wide = mm_up(inset + limits.stitch)
    return f"draw a rim at least {wide} mm wide, or leave the stitching out"
