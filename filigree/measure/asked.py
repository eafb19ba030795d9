"""Asked: what a job wants measured besides the bridges, as plain numbers."""

from dataclasses import dataclass

from filigree.job import Bend, Hole, Job, Limits, default, most_in_zones, stitch_inset
from filigree.measure.openings import CORNER_UNDER, POINT


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What to measure, mm.

    Attributes:
        pull: direction for the weakest section: "long", "x", "y" or degrees from the x axis.
        necks: necks up to this are looked for, and up to twice the bridge in any case.
        rim: rim wanted; the window for the open share is twice as wide.
        margin: margins up to this are told.
        opening: clear widths up to this are looked for; None for the bridge width.
        corner: radii of corners up to this are told.
        point_deg: points of face up to this are told, degrees.
        stitch: stitch line to edge; None for a piece that is not sewn.
        holes: for hardware.
        bends: folds and buckle bends.
        section: whether the weakest section is wanted.
    """

    pull: str = "long"
    necks: float = 0.0
    rim: float = 6.0
    margin: float = 20.0
    opening: float | None = None
    corner: float = CORNER_UNDER
    point_deg: float = POINT
    stitch: float | None = None
    holes: tuple[Hole, ...] = ()
    bends: tuple[Bend, ...] = ()
    section: bool = True


def asked_of(job: Job, limits: Limits) -> Asked:
    """Work out what a job wants measured: margins wider than any limit of it, the rest as far as any asks."""
    bridge = max([limits.bridge.good, *(own.good for _, own in limits.zones)])

    def most(name: str) -> float:
        return most_in_zones(limits, name)

    return Asked(
        pull=job.use.pull,
        necks=max(bridge * max(most("lone"), 2.0), 2 * default("patch.seam")),
        rim=limits.rim,
        margin=2 * max(most(name) for name in ("rim", "stitch", "hole", "buckle")),
        opening=max(limits.bridge.good, most("opening_width"), most("opening_width_max")),
        corner=max(CORNER_UNDER, most("corner")),
        point_deg=max(POINT, most("point_deg")),
        stitch=stitch_inset(job) if job.stitch is not None else None,
        holes=job.use.holes,
        bends=job.use.bends,
    )
