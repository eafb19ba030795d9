"""As cut: the openings as they are cut on the grain side, which is what a maker sees, counts and punches.

`finished` is for strength and counts half of each bevel; here the edge is where the blade goes. Kerf moves no
edge, since the paths make it good, and char stays leather.
"""

from dataclasses import replace

import numpy as np
import shapely
from shapely import Polygon

from filigree.geometry.offset import areas, shrunk
from filigree.geometry.poles import poles
from filigree.job import CutLoss
from filigree.pattern import Opening, Pattern


def as_cut(pattern: Pattern, loss: CutLoss) -> Pattern:
    """Set every opening back by the bevel (handbook 2.3: cut on the outer foot of the bevel).

    Returns:
        The same object without a bevel. Otherwise an opening that the bevel closes is gone, and one that it
        parts stands once for each part, with one id.
    """
    if not loss.bevel:
        return pattern
    parts = [(o, part) for o in pattern.openings for part in _parts(o, loss.bevel)]
    at, _ = poles([part for _, part in parts])
    openings = tuple(
        replace(o, shape=part, at=(float(x), float(y)), area_mm2=float(part.area))
        for (o, part), (x, y) in zip(parts, at.tolist(), strict=True)
    )
    shapes = np.array([o.shape for o in openings], dtype=object)
    holes = shapely.disjoint_subset_union_all(shapes) if openings else Polygon()
    return replace(pattern, openings=openings, land=areas(pattern.outline.difference(holes)))


def _parts(opening: Opening, by: float) -> list[Polygon]:
    return [p for p in shapely.get_parts(shrunk(opening.shape, by)).tolist() if p.area > 0]
