"""Mirror: a design that is its own mirror image is mended alike on both sides.

Where a strand is as narrow in several places, which of them counts as the neck is chance; so the leather for a
neck is added at its mirror image too, unless a neck stands there already.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from filigree.geometry.types import XY
from filigree.mend.patches import Patch
from filigree.pattern import Pattern

SAME = 0.05  # mm: openings this near a mirror image of another are that image
AREA = 0.01  # of their area


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """A line of symmetry, mm: `x` of an upright one or `y` of a level one; the other is None."""

    x: float | None = None
    y: float | None = None

    def image(self, at: XY) -> XY:
        """Give the mirror image of a point."""
        x = at[0] if self.x is None else 2 * self.x - at[0]
        y = at[1] if self.y is None else 2 * self.y - at[1]
        return x, y


def axes_of(pattern: Pattern) -> tuple[Axis, ...]:
    """Find whether a pattern is its own mirror image, upright, level or both."""
    if not pattern.openings:
        return ()
    left, top, right, bottom = pattern.outline.bounds
    middles = np.array([o.shape.centroid.coords[0] for o in pattern.openings])
    areas = np.array([o.area_mm2 for o in pattern.openings])
    found = []
    for axis in (Axis(x=(left + right) / 2), Axis(y=(top + bottom) / 2)):
        images = np.array([axis.image((x, y)) for x, y in middles.tolist()])
        near = np.hypot(*np.moveaxis(images[:, None] - middles[None], 2, 0)) <= SAME
        alike = np.abs(areas[:, None] - areas[None]) <= AREA * areas[:, None]
        if (near & alike).any(axis=1).all():
            found.append(axis)
    return tuple(found)


Images = dict[
    tuple[int, Axis], tuple[BaseGeometry, BaseGeometry]
]  # of a shape's `id()`; itself, image


def with_images(made: Sequence[Patch], axes: Sequence[Axis], images: Images) -> tuple[Patch, ...]:
    """Add the mirror image of each patch that has none; images made before are used again."""
    both = list(made)
    for axis in axes:
        places = [p.wish.neck.middle for p in both]
        both += [
            _image(p, axis, images)
            for p in both
            if all(math.dist(axis.image(p.wish.neck.middle), at) > SAME for at in places)
        ]
    return tuple(both)


def _image(patch: Patch, axis: Axis, images: Images) -> Patch:
    neck, key = patch.wish.neck, (id(patch.shape), axis)
    if key not in images:
        shape = affinity.scale(
            patch.shape,
            1 if axis.x is None else -1,
            1 if axis.y is None else -1,
            origin=(axis.x or 0.0, axis.y or 0.0),
        )
        images[key] = (patch.shape, shape)
    image = replace(neck, start=axis.image(neck.start), end=axis.image(neck.end))
    return Patch(wish=replace(patch.wish, neck=image), shape=images[key][1])
