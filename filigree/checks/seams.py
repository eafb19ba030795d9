"""Seams of the inlay: is there leather enough to glue both patches where two colours meet?"""

from collections.abc import Mapping

from filigree.checks.bridges import limits_at
from filigree.checks.finding import Finding
from filigree.checks.words import NOISE, between, mm_up
from filigree.job import Limits, default
from filigree.measure import EDGE, Measures
from filigree.units import mm_down


def judge_seams(
    measures: Measures, limits: Limits, inlays: Mapping[int, str]
) -> tuple[Finding, ...]:
    """Find bridges between two colours whose half is too narrow to glue a patch to.

    Args:
        measures: necks of the finished face.
        limits: bridge widths; half of the wanted bridge is wanted on each side of a seam, at least 1.5 mm.
        inlays: colour behind each opening, by id.
    """
    found = []
    for neck in measures.necks:
        one, other = neck.between
        if EDGE in neck.between or inlays.get(int(one)) == inlays.get(int(other)):
            continue
        wanted = max(default("patch.seam"), limits_at(neck.middle, limits).good / 2)
        if neck.width / 2 < wanted - NOISE:
            found.append(
                Finding(
                    check="seam",
                    severity="caution",
                    at=neck.middle,
                    measured=neck.width / 2,
                    wanted=wanted,
                    say=(
                        f"Two inlay colours meet {between(neck.between)}, with {mm_down(neck.width / 2)} mm to glue each: "
                        f"widen the bridge to {mm_up(2 * wanted)} mm, take one colour, or skive the patches' edges and lap them."
                    ),
                    why=f"half the bridge, at least {default('patch.seam'):g} mm",
                    ends=(neck.start, neck.end),
                )
            )
    return tuple(found)
