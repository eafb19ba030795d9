"""Alike: regions of one shape, and regions that are mirror images across the drawing's own axis."""

from dataclasses import dataclass

import numpy as np
import shapely

from filigree.geometry.types import FloatArray, IntArray, Shapes

SAME = 0.02  # relative: how near the measures of mirror images are
GRAIN = 4e-3  # relative: measures nearer than a third of this are equal
NEAR = 0.25  # mm: mirror images lie this near their place
WHOLE = (
    0.8  # share of area, and half of all regions, with a mirror image: the drawing mirrors itself
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Groups:
    """Regions numbered alike, `(n,)` each.

    Attributes:
        group: equal regions.
        size: how many regions are equal to each, itself among them.
        twin: mirror images of one another in a drawing that mirrors itself.
        marks: measures of each region that turning and mirroring leave alone, mm, `(n, 6)`.
    """

    group: IntArray
    size: FloatArray
    twin: IntArray
    marks: FloatArray

    def mean(self, values: FloatArray) -> FloatArray:
        """Replace each row of `(n, k)` by the mean over its equals."""
        count = int(self.group.max()) + 1 if len(self.group) else 0
        sums = np.zeros((count, values.shape[1]))
        np.add.at(sums, self.group, values)
        found: FloatArray = (sums / np.bincount(self.group, minlength=count)[:, None])[self.group]
        return found


def groups(shapes: Shapes, thick: FloatArray) -> Groups:
    """Find equal regions (turned or mirrored too) and the twins of a symmetric drawing."""
    marks = _signature(shapes, thick)
    group = _alike(marks)
    twin = _twins(shapes, marks)
    group = _joined(group, twin)
    return Groups(
        group=group,
        size=np.bincount(group)[group].astype(np.float64),
        twin=twin,
        marks=marks,
    )


def _signature(shapes: Shapes, thick: FloatArray) -> FloatArray:
    """Measures that turning and mirroring leave alone, in mm, `(n, 6)`."""
    area = shapely.area(shapes)
    filled = shapely.area(shapely.polygons(shapely.get_exterior_ring(shapes)))
    hull = shapely.convex_hull(shapes)
    middle = shapely.centroid(shapes)
    far = shapely.hausdorff_distance(middle, hull)
    return np.column_stack(
        [np.sqrt(area), shapely.length(shapes), np.sqrt(filled), shapely.length(hull), far, thick]
    )


def _alike(marks: FloatArray) -> IntArray:
    """Number rows alike whose measures all agree: they share a cell of one of three shifted grids."""
    place = np.log(np.maximum(marks, 1e-6)) / GRAIN
    label = np.arange(len(marks))
    for shift in (0.0, 1 / 3, 2 / 3):
        cell = np.floor(place + shift)
        same = np.asarray(np.unique(cell, axis=0, return_inverse=True)[1].ravel(), dtype=np.int64)
        label = _joined(label, same)
    return label


def _twins(shapes: Shapes, marks: FloatArray) -> IntArray:
    """Number mirror images alike, for each way in which most of the drawing mirrors itself.

    What has no image (a gap, a slip, one motif more) stays by itself and leaves the rest tied.
    """
    count, every = len(shapes), np.arange(len(shapes))
    twin = every.copy()
    area = shapely.area(shapes)
    middle = shapely.get_coordinates(shapely.centroid(shapes))
    left, top, right, bottom = shapely.total_bounds(shapes)
    tree = shapely.STRtree(np.asarray(shapely.points(middle)))
    for sx, sy in [(-1, 1), (1, -1), (-1, -1)]:
        place = middle.copy()
        if sx < 0:
            place[:, 0] = left + right - place[:, 0]
        if sy < 0:
            place[:, 1] = top + bottom - place[:, 1]
        image = _images(tree, place, marks)
        mutual = (image >= 0) & (image[np.maximum(image, 0)] == every)
        if area[mutual].sum() >= WHOLE * area.sum() and 2 * mutual.sum() >= count:
            twin = _joined(twin, np.where(mutual, np.minimum(every, image), every))
    return twin


def _images(tree: shapely.STRtree, place: FloatArray, marks: FloatArray) -> IntArray:
    """Row of the most equal region at each place, or -1."""
    image = np.full(len(place), -1, dtype=np.int64)
    here, there = tree.query(shapely.points(place), predicate="dwithin", distance=NEAR)
    gap = (np.abs(marks[here, :5] - marks[there, :5]) / marks[here, :5]).max(axis=1)
    order = np.lexsort((there, -gap))
    here, there, same = here[order], there[order], gap[order] < SAME
    image[here[same]] = there[same]  # the last one written is the most equal
    return image


def _joined(group: IntArray, twin: IntArray) -> IntArray:
    """One numbering in which twins and equals are both together."""
    group = group.copy()
    for _ in range(8):
        low = np.full(int(twin.max()) + 1 if len(twin) else 0, np.iinfo(np.int64).max)
        np.minimum.at(low, twin, group)
        fresh = low[twin]
        merge = np.arange(int(group.max()) + 1 if len(group) else 0)
        np.minimum.at(merge, group, fresh)
        new = merge[group]
        if (new == group).all():
            break
        group = new
    return np.asarray(np.unique(group, return_inverse=True)[1].ravel(), dtype=np.int64)
