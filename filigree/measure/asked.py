"""Asked: what a job wants measured besides the bridges, as plain numbers."""

from dataclasses import dataclass

from filigree.job import Bend, Hole, Job, Limits, stitch_inset


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What to measure, mm.

    Attributes:
        pull: direction for the weakest section: "long", "x", "y" or degrees from the x axis.
        rim: rim wanted; the window for the open share is twice as wide.
        margin: margins up to this are told.
        opening: clear widths up to this are looked for; None for the bridge width.
        stitch: stitch line to edge; None for a piece that is not sewn.
        holes: for hardware.
        bends: folds and buckle bends.
    """

    pull: str = "long"
    rim: float = 6.0
    margin: float = 20.0
    opening: float | None = None
    stitch: float | None = None
    holes: tuple[Hole, ...] = ()
    bends: tuple[Bend, ...] = ()


def asked_of(job: Job, limits: Limits) -> Asked:
    """Work out what a job wants measured; margins are taken wider than any limit of it."""
    return Asked(
        pull=job.use.pull,
        rim=limits.rim,
        margin=2 * max(limits.rim, limits.stitch, limits.hole, limits.buckle),
        opening=max(limits.bridge.good, limits.opening_width, limits.opening_width_max or 0.0),
        stitch=stitch_inset(job) if job.stitch is not None else None,
        holes=job.use.holes,
        bends=job.use.bends,
    )
