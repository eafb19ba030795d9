"""The eye: enclosed light areas of a picture drawn by a renderer that is not ours."""

import io
from dataclasses import dataclass

import numpy as np
import pyvips
import resvg_py
from PIL import Image
from scipy import ndimage
from shapely import Point

PIXEL = 0.05  # mm
RADIUS = 0.5  # mm: least inscribed radius of a field that counts
AREA = 3.0  # mm2: least area


@dataclass(frozen=True)
class Light:
    """One enclosed light area: its deepest point, inscribed radius and area, mm."""

    at: tuple[float, float]
    radius: float
    area: float


def picture(svg: bytes, width: float, height: float, renderer: str) -> np.ndarray:
    """Lightness of the page, 0 to 1, at `PIXEL`."""
    size = round(width / PIXEL), round(height / PIXEL)
    if renderer == "resvg":
        png = resvg_py.svg_to_bytes(
            svg_string=svg.decode(), width=size[0], height=size[1], background="#ffffff", dpi=96
        )
        image = Image.open(io.BytesIO(bytes(png))).convert("RGB")
    else:
        plain = pyvips.Image.svgload_buffer(svg)
        drawn = pyvips.Image.svgload_buffer(svg, scale=size[0] / plain.width, unlimited=True)
        drawn = drawn.flatten(background=[255, 255, 255])
        image = Image.fromarray(drawn.numpy()[..., :3]).resize(size)
    return np.asarray(image.convert("L"), dtype=float) / 255


def lights(svg: bytes, width: float, height: float, renderer: str = "resvg") -> list[Light]:
    """Enclosed light areas of the picture, all sizes from half of what counts."""
    light = picture(svg, width, height, renderer) >= 0.5
    labels, _ = ndimage.label(light)
    edge = set(np.unique(np.concatenate([labels[0], labels[-1], labels[:, 0], labels[:, -1]])))
    found = []
    for number, where in enumerate(ndimage.find_objects(labels), start=1):
        if number in edge or where is None:
            continue
        own = np.pad(labels[where] == number, 1)
        area = own.sum() * PIXEL**2
        if area < AREA / 2:
            continue
        depth = ndimage.distance_transform_edt(own).astype(np.float32)
        row, column = np.unravel_index(depth.argmax(), depth.shape)
        at = ((column - 0.5 + where[1].start) * PIXEL, (row - 0.5 + where[0].start) * PIXEL)
        found.append(Light(at, float(depth.max()) * PIXEL, float(area)))
    return found


def agreement(svg, width, height, regions, renderer="resvg"):
    """Recall and precision of regions `(shape, inscribed radius)` against the picture.

    Sizes within a tenth of the limits count for neither side.
    """
    seen = lights(svg, width, height, renderer)
    must = [s for s in seen if s.radius >= RADIUS * 1.1 and s.area >= AREA * 1.1]
    may = [s for s in seen if s.radius >= RADIUS * 0.9 and s.area >= AREA * 0.9]
    ours = [
        shape for shape, radius in regions if radius >= RADIUS * 0.9 and shape.area >= AREA * 0.9
    ]
    sure = [
        shape for shape, radius in regions if radius >= RADIUS * 1.1 and shape.area >= AREA * 1.1
    ]
    missed = [s for s in must if not any(_same(s, shape) for shape in ours)]
    invented = [shape for shape in sure if not any(_same(s, shape) for s in may)]
    return missed, invented, len(must), len(sure)


def _same(light, shape):
    """Same place, and areas alike but for a rim of half a stroke."""
    if not shape.covers(Point(light.at)):
        return False
    rim = shape.length * 0.6 + 0.2 * light.area
    return abs(shape.area - light.area) <= rim
