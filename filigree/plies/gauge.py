"""Kerf gauge: a strip cut into parts shows how much each cut takes away (handbook 2.7)."""

import numpy as np
import shapely

from filigree.geometry.bezier import lines_as_cubics
from filigree.geometry.path import Path
from filigree.job import Job
from filigree.plies.model import Cut, Ply

LENGTH = 100.0  # mm: of the strip
WIDTH = 20.0  # mm
CUTS = 9
LEFT = 98.2  # mm: an example of what is left
PAST = 2.0  # mm: each cut runs this far past the strip on both sides


def kerf_of(*, before: float, after: float, cuts: int) -> float:
    """Kerf from a strip cut across and pushed together again, mm.

    >>> round(kerf_of(before=100, after=98.2, cuts=9), 9)
    0.2

    Raises:
        ValueError: there is no cut, or the strip has grown.
    """
    if cuts < 1:
        raise ValueError("a gauge needs a cut")
    if not 0 < after <= before:
        raise ValueError("a strip is no longer after it was cut")
    return (before - after) / cuts


def kerf_gauge(job: Job) -> Ply:
    """Nine cuts for a strip of the face's leather that was cut to 100 mm by hand."""
    across = np.arange(1, CUTS + 1) * LENGTH / (CUTS + 1)
    top, bottom = np.zeros(CUTS), np.full(CUTS, WIDTH + 2 * PAST)
    cubics = lines_as_cubics(np.column_stack([across, top]), np.column_stack([across, bottom]))
    straight = np.ones(1, dtype=bool)
    paths = tuple(Path(cubics=c[None], straight=straight, closed=False) for c in cubics)
    return Ply(
        ply="gauge",
        file="kerf-gauge.svg",
        title="Kerf gauge",
        note=f"Lay a strip of {LENGTH:g} x {WIDTH:g} mm under the lines, cut, push the parts together and "
        f"measure: kerf = ({LENGTH:g} mm - length after) / {CUTS}; {LEFT:g} mm left are a kerf of "
        f"{kerf_of(before=LENGTH, after=LEFT, cuts=CUTS):.1f} mm. Cut from the grain side, not mirrored.",
        colour=job.face.colour,
        thickness=job.face.span,
        cut_from="grain",
        mirrored=False,
        cuts=(Cut(name="cuts", paths=paths),),
        shape=shapely.box(0, 0, LENGTH, WIDTH),
        area_mm2=LENGTH * WIDTH,
        size=(LENGTH, WIDTH + 2 * PAST),
        offset=(0.0, PAST),
    )
