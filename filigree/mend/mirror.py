"""Mirror: a design that is its own mirror image is mended alike on both sides.

Where a strand is as narrow in several places, which of them counts as the neck is chance; so the leather for a
neck is added at its mirror image too, unless a neck stands there already.
"""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from filigree.mend.axis import Axis
from filigree.mend.patches import Leather, Patch
from filigree.pattern import Pattern

SAME = 0.05  # mm: openings this near a mirror image of another are that image
AREA = 0.01  # of their area


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


Images = dict[tuple[int, Axis], tuple[Leather, Leather]]  # of leather's `id()`; itself, image


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
    neck, key = patch.wish.neck, (id(patch.leather), axis)
    if key not in images:
        images[key] = (patch.leather, patch.leather.image(axis))
    image = replace(neck, start=axis.image(neck.start), end=axis.image(neck.end))
    return Patch(wish=replace(patch.wish, neck=image), leather=images[key][1])
