"""Enclosed light areas of a rendered picture against the regions of our road.

Two readings of the same comparison. By shape: each area of the picture has a region of its own that holds its
deepest point and is as large, but for half a stroke all round; and the other way. By place: each area holds
exactly one region's `at`, and each region's `at` lies in an area; as a reader of `report.json` alone would count.
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

SLACK = 0.1  # share of the limits within which a size counts for neither side


@dataclass
class Score:
    """What one drawing or many came to."""

    areas: int = 0
    missed: list = field(default_factory=list)
    regions: int = 0
    invented: list = field(default_factory=list)
    unplaced: int = 0  # areas that hold no region's place, or several
    astray: int = 0  # regions whose place lies in no area
    seconds: float = 0.0

    def add(self, other):
        self.areas += other.areas
        self.regions += other.regions
        self.missed += other.missed
        self.invented += other.invented
        self.unplaced += other.unplaced
        self.astray += other.astray

    @property
    def recall(self):
        return 1 - len(self.missed) / max(1, self.areas)

    @property
    def precision(self):
        return 1 - len(self.invented) / max(1, self.regions)

    @property
    def placed(self):
        return 1 - self.unplaced / max(1, self.areas), 1 - self.astray / max(1, self.regions)


def light_areas(svg: bytes, width: float, height: float, renderer: str = "resvg"):
    """Labels of the picture, 0 where it is dark or open to the page's edge, and the areas by label."""
    labels, _ = ndimage.label(picture(svg, width, height, renderer) >= 0.5)
    rim = np.unique(np.concatenate([labels[0], labels[-1], labels[:, 0], labels[:, -1]]))
    labels[np.isin(labels, rim)] = 0
    areas = {}
    for number, where in enumerate(ndimage.find_objects(labels), start=1):
        if where is None:
            continue
        own = np.pad(labels[where] == number, 1)
        if own.sum() * PIXEL**2 < AREA / 2:
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
    labels, areas = light_areas(svg, drawing.width, drawing.height, renderer)
    shapes = [region.shape for region in found]
    radius = shapely.length(shapely.maximum_inscribed_circle(shapes, 0.02)) if shapes else []
    size = np.array([(r, region.area_mm2) for r, region in zip(radius, found, strict=True)])
    size = size.reshape(-1, 2) / (RADIUS, AREA)
    ours = np.flatnonzero((size >= 1 - SLACK).all(axis=1)).tolist()
    sure = np.flatnonzero((size >= 1 + SLACK).all(axis=1)).tolist()
    big = {n for n, a in areas.items() if min(a.radius / RADIUS, a.area / AREA) >= 1 + SLACK}
    may = {n for n, a in areas.items() if min(a.radius / RADIUS, a.area / AREA) >= 1 - SLACK}
    holds = {(n, i) for n in may for i in ours if _same(areas[n], shapes[i])}
    places = [_label_at(labels, region.at) for region in found]
    count = {n: sum(places[i] == n for i in ours) for n in big}
    return Score(
        areas=len(big),
        missed=[areas[n] for n in sorted(big - {n for n, _ in holds})],
        regions=len(sure),
        invented=[shapes[i] for i in sure if i not in {i for _, i in holds}],
        unplaced=sum(number != 1 for number in count.values()),
        astray=sum(places[i] not in may for i in sure),
        seconds=seconds,
    )


def _label_at(labels, at):
    row, column = (min(int(v / PIXEL), size - 1) for v, size in zip(at[::-1], labels.shape, strict=True))  # fmt: skip
    return int(labels[row, column])


def _same(light, shape):
    """Same place, and areas alike but for a rim of half a stroke."""
    if not shapely.contains_xy(shape, *light.at):
        return False
    return abs(shape.area - light.area) <= shape.length * 0.6 + 0.2 * light.area
