"""Enclosed light areas of a rendered picture against the regions of our road.

Two readings of the same comparison. By shape: each area of the picture has a region that holds its deepest point
and is as large, but for half a stroke all round; and the other way. By place: each area holds exactly one region's
`at`, and each region's `at` lies in an area that counts; as a reader of `report.json` alone would count.
"""

import time
from dataclasses import dataclass, field

import numpy as np
import shapely
from scipy import ndimage

from filigree.drawing.svg import read_svg
from filigree.job import Sheet
from filigree.regions.divide import divide
from tests.drawing.eye import AREA, PIXEL, RADIUS, Light, picture

LEAST_MM2 = 0.05  # of an area of the picture
SLACK = 0.1  # share of the limits within which a size counts for neither side


@dataclass
class Score:
    """What one drawing or many came to.

    Attributes:
        areas: enclosed light areas of the picture that count.
        missed: those that no region matches.
        regions: regions that count.
        invented: those that match no enclosed light area of any size.
        small: regions that count only because they run to the middle of strokes: the light is under the limits.
        torn: areas and regions told apart otherwise only where light or ink is a pixel or two wide.
        unplaced: areas that hold no region's place, or several.
        astray: regions whose place lies in no area that is large enough.
        seconds: processor time of reading and dividing.
    """

    areas: int = 0
    missed: list = field(default_factory=list)
    regions: int = 0
    invented: list = field(default_factory=list)
    small: int = 0
    torn: int = 0
    unplaced: int = 0
    astray: int = 0
    seconds: float = 0.0

    def add(self, other):
        for name in (
            "areas",
            "regions",
            "missed",
            "invented",
            "small",
            "torn",
            "unplaced",
            "astray",
        ):
            setattr(self, name, getattr(self, name) + getattr(other, name))

    @property
    def recall(self):
        return 1 - len(self.missed) / max(1, self.areas)

    @property
    def precision(self):
        return 1 - len(self.invented) / max(1, self.regions)

    @property
    def placed(self):
        return 1 - self.unplaced / max(1, self.areas), 1 - self.astray / max(1, self.regions)


def enclosed_areas(light):
    """Labels of a picture, 0 where it is dark or open to the page's edge, and the areas by label."""
    labels, _ = ndimage.label(light)
    rim = np.unique(np.concatenate([labels[0], labels[-1], labels[:, 0], labels[:, -1]]))
    open_ = np.zeros(labels.max() + 1, dtype=bool)
    open_[rim] = True
    labels[open_[labels]] = 0
    areas = {}
    for number, where in enumerate(ndimage.find_objects(labels), start=1):
        if where is None:
            continue
        own = np.pad(labels[where] == number, 1)
        if own.sum() * PIXEL**2 < LEAST_MM2:
            continue
        depth = ndimage.distance_transform_edt(own).astype(np.float32)
        row, column = np.unravel_index(depth.argmax(), depth.shape)
        at = ((column - 0.5 + where[1].start) * PIXEL, (row - 0.5 + where[0].start) * PIXEL)
        areas[number] = Light(at, float(depth.max()) * PIXEL, float(own.sum()) * PIXEL**2)
    return labels, areas


def score(svg: bytes, renderer: str = "resvg") -> Score:
    """Read and divide a drawing at its own size and compare it with the picture."""
    begin = time.process_time()
    drawing = read_svg(svg, sheet=Sheet(), name="clip art")
    found = [region for region in divide(drawing).regions if not region.solid]
    seconds = time.process_time() - begin
    light = picture(svg, drawing.width, drawing.height, renderer) >= 0.5
    labels, areas = enclosed_areas(light)
    shapes = [region.shape for region in found]
    radius = shapely.length(shapely.maximum_inscribed_circle(shapes, 0.02)) if shapes else []
    size = np.array([(r, region.area_mm2) for r, region in zip(radius, found, strict=True)])
    size = size.reshape(-1, 2) / (RADIUS, AREA)
    ours = np.flatnonzero((size >= 1 - SLACK).all(axis=1)).tolist()
    sure = np.flatnonzero((size >= 1 + SLACK).all(axis=1)).tolist()
    big = {n for n, a in areas.items() if min(a.radius / RADIUS, a.area / AREA) >= 1 + SLACK}
    may = {n for n, a in areas.items() if min(a.radius / RADIUS, a.area / AREA) >= 1 - SLACK}
    matched = [(n, i) for i in ours for n in areas if _same(areas[n], shapes[i])]
    right = {i for n, i in matched if n in may}
    missed = big - {n for n, _ in matched}
    small = {i for _, i in matched} - right
    invented = [i for i in sure if i not in right and i not in small]
    torn = 0
    if missed or invented:
        _, parted = enclosed_areas(ndimage.binary_erosion(light, np.ones((3, 3), dtype=bool)))
        _, joined = enclosed_areas(ndimage.binary_dilation(light, np.ones((3, 3), dtype=bool)))
        others = [*parted.values(), *joined.values()]
        doubtful = {
            n for n in missed if not any(_alike(areas[n], other) for other in parted.values())
        }
        imagined = {i for i in invented if any(_same(other, shapes[i]) for other in others)}
        torn = len(doubtful) + len(imagined)
        missed, invented = missed - doubtful, [i for i in invented if i not in imagined]
    places = [_label_at(labels, region.at) for region in found]
    return Score(
        areas=len(big),
        missed=[areas[n] for n in sorted(missed)],
        regions=len(sure),
        invented=[shapes[i] for i in invented],
        small=len(small.intersection(sure)),
        torn=torn,
        unplaced=sum([places[i] for i in ours].count(n) != 1 for n in big),
        astray=sum(places[i] not in may for i in sure),
        seconds=seconds,
    )


def _label_at(labels, at):
    row, column = (
        min(int(v / PIXEL), size - 1) for v, size in zip(at[::-1], labels.shape, strict=True)
    )
    return int(labels[row, column])


def _same(light, shape):
    """Same place, and areas alike but for a rim of half a stroke."""
    if not shapely.contains_xy(shape, *light.at):
        return False
    return abs(shape.area - light.area) <= shape.length * 0.6 + 0.2 * light.area


def _alike(one, other):
    """The same area once a pixel all round is gone: it did not fall apart."""
    return (
        np.hypot(*np.subtract(one.at, other.at)) < one.radius / 2 and other.area >= 0.6 * one.area
    )
