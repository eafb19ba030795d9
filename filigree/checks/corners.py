"""Corners and points: where the face tears first, and where it curls."""

from filigree.checks.finding import Finding
from filigree.checks.words import mm_up
from filigree.job import Limits, default, limits_in
from filigree.job.punches import least_punch
from filigree.measure import EDGE, Corner, Measures, OpeningSize, Tip

FLATTENING = 0.01  # mm: a radius this near the limit meets it
DEGREES = 1e-6


def check(measures: Measures, limits: Limits) -> tuple[Finding, ...]:
    """Find openings with tight inside corners, one finding an opening, and sharp points of face."""
    corners = [_corner(opening, limits) for opening in measures.openings]
    tips = [
        _tip(tip, here)
        for tip in measures.tips
        for here in (limits_in(limits, tip.at),)
        if tip.angle_deg < here.point_deg - DEGREES
    ]
    return tuple([f for f in corners if f is not None] + tips)


def punch(opening: OpeningSize, radius: float) -> float | None:
    """Diameter of the smallest punch of a metric set that rounds a corner and fits, mm."""
    size = least_punch(radius)
    return size if size <= min(opening.disc, default("punch.most")) else None


def tight_corners(opening: OpeningSize, limits: Limits) -> tuple[Corner, ...]:
    """Give the corners that the finding of an opening counts, and that are ended by punch or blade: tightest first."""
    return tuple(
        c for c in opening.corners if c.radius < limits_in(limits, c.at).corner - FLATTENING
    )


def _corner(opening: OpeningSize, limits: Limits) -> Finding | None:
    tight = tight_corners(opening, limits)
    if not tight:
        return None
    limits = max((limits_in(limits, c.at) for c in tight), key=lambda here: here.corner)
    many = f"the {len(tight)} tight corners" if len(tight) > 1 else "the tight corner"
    size = punch(opening, limits.corner) if limits.way == "knife" else None
    them = "them with punches" if len(tight) > 1 else "it with a punch"
    tool = f", or end {them} of at least {size:.1f} mm" if size else ""
    return Finding(
        check="corner",
        severity="caution",
        at=tight[0].at,
        measured=tight[0].radius,
        wanted=limits.corner,
        say=f"Round {many} of opening {opening.id} to a radius of {mm_up(limits.corner)} mm{tool}.",
        why=limits.why.get("corner", ""),
    )


def _tip(tip: Tip, limits: Limits) -> Finding:
    sharp = f"{int(tip.angle_deg)} degrees sharp" if tip.angle_deg >= 1 else "thin as a hair"
    place = "at the edge" if tip.beside == EDGE else f"beside opening {tip.beside}"
    return Finding(
        check="point",
        severity="caution",
        at=tip.at,
        measured=tip.angle_deg,
        wanted=limits.point_deg,
        say=(
            f"The point of face {place} is {sharp} and will curl: blunt it to a "
            f"radius of {mm_up(limits.point_blunt)} mm, or let it touch its neighbour."
        ),
        why=limits.why.get("point_deg", ""),
        unit="deg",
    )
