"""Mirror: a design that is its own mirror image is mended alike on both sides.

Where a strand is as narrow in several places, which of them counts as the neck is chance, and so is the side that its
leather is worked out from; so the leather for a neck on the left (or above) is mirrored for its twin on the right,
and added at the mirror image where no neck stands.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely import Polygon

from filigree.mend.axis import Axis
from filigree.mend.patches import Leather, Patch, Wish
from filigree.pattern import Pattern

SAME = 0.05  # mm: openings this near a mirror image of another are that image
AREA = 0.01  # of their area
OFF = 0.2  # mm: an edge this near its mirror image is alike
LENGTH = 0.002  # of their edge
APART = 4.0  # mm: corners of curved edges that are compared
LEAST = 8  # so many of each edge, if it has them


def axes_of(pattern: Pattern) -> tuple[Axis, ...]:
    """Find whether a pattern is its own mirror image, upright, level or both."""
    if not pattern.openings:
        return ()
    left, top, right, bottom = pattern.outline.bounds
    shapes = [o.shape for o in pattern.openings]
    middles = np.array([shape.centroid.coords[0] for shape in shapes])
    areas = np.array([o.area_mm2 for o in pattern.openings])
    found = []
    for axis in (Axis(x=(left + right) / 2), Axis(y=(top + bottom) / 2)):
        images = np.array([axis.image((x, y)) for x, y in middles.tolist()])
        near = np.hypot(*np.moveaxis(images[:, None] - middles[None], 2, 0)) <= SAME
        alike = np.abs(areas[:, None] - areas[None]) <= AREA * areas[:, None]
        twin = (near & alike).argmax(axis=1)
        if (near & alike).any(axis=1).all() and _all_alike(axis, shapes, twin.tolist()):
            found.append(axis)
    return tuple(found)


def _all_alike(axis: Axis, shapes: Sequence[Polygon], twin: Sequence[int]) -> bool:
    """Say whether the mirror image of each shape has its edge on that of its twin, corner by corner.

    A large opening may have the middle and the area of its image, and a tongue on one side alone.
    """
    own = np.array(shapes, dtype=object)
    lengths = shapely.length(own)
    if (np.abs(lengths - lengths[twin]) > SAME + LENGTH * lengths).any():
        return False
    tested = []
    for shape, length in zip(shapes, lengths.tolist(), strict=True):
        corners = shapely.get_coordinates(shape)
        tested.append(corners[:: max(int(len(corners) / max(length / APART, LEAST)), 1)])
    points = np.concatenate(tested)
    images = np.array([axis.image((x, y)) for x, y in points.tolist()])
    edges = shapely.MultiLineString(shapely.get_rings(own).tolist())
    shapely.prepare(edges)
    return bool(shapely.dwithin(edges, shapely.points(images), OFF).all())


Images = dict[tuple[int, Axis], tuple[Leather, Leather]]  # of leather's `id()`; itself, image


def with_images(made: Sequence[Patch], axes: Sequence[Axis], images: Images) -> tuple[Patch, ...]:
    """Make leather alike on both sides of each axis; images made before are used again.

    A neck whose image is a neck too gets the image of the leather that its twin on the left (or above) gets; where no
    neck stands at the image, the image of the leather is added there.
    """
    both = list(made)
    for axis in axes:
        twins = _twins(both, axis)
        added = [
            _image(p, axis, images)
            for k, (p, twin) in enumerate(zip(both, twins, strict=True))
            if twin in {None, k}  # on the axis, its own image is added
        ]
        both = [
            p
            if twin is None or axis.leads(p.wish.neck.middle) or not _alike(p.wish, both[twin].wish)
            else _image(both[twin], axis, images, wish=p.wish)
            for p, twin in zip(both, twins, strict=True)
        ]
        both += added
    return tuple(both)


def _twins(made: Sequence[Patch], axis: Axis) -> list[int | None]:
    """Give for each patch the one whose neck is the mirror image of its own."""
    if not made:
        return []
    at = np.array([p.wish.neck.middle for p in made])
    image = np.array([axis.image((x, y)) for x, y in at.tolist()])
    apart = np.hypot(*np.moveaxis(image[:, None] - at[None], 2, 0))
    nearest = apart.argmin(axis=1)
    near = apart[np.arange(len(made)), nearest] <= SAME
    return [n if held else None for n, held in zip(nearest.tolist(), near.tolist(), strict=True)]


def _alike(one: Wish, other: Wish) -> bool:
    return one.width == other.width and (one.spared is None) == (other.spared is None)


def _image(patch: Patch, axis: Axis, images: Images, wish: Wish | None = None) -> Patch:
    """Give the mirror image of a patch, for a wish of its own or the image of its wish."""
    neck, key = patch.wish.neck, (id(patch.leather), axis)
    if key not in images:
        images[key] = (patch.leather, patch.leather.image(axis))
    if wish is None:
        image = replace(neck, start=axis.image(neck.start), end=axis.image(neck.end))
        wish = replace(patch.wish, neck=image)
    return Patch(wish=wish, leather=images[key][1])
