"""Slant: a photo without corner marks set straight by the sheet's own four edges, when they tell its shape.

The shape of a rectangle seen from aslant follows from its four corners and the lens (Zhang and He, Whiteboard scanning,
2003). A phone's lens is known only roughly, so the shape is taken only when one paper format lies in what all
likely lenses allow.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from PIL import Image

from filigree.drawing.scan.bow import SAMPLES, find_bow, without_strays
from filigree.drawing.scan.frame import Frame, homography, straightened
from filigree.drawing.scan.scale import Measured
from filigree.drawing.scan.sheet import Paper
from filigree.drawing.scan.sides import corners
from filigree.geometry.types import FloatArray, IntArray

FORMATS = {  # mm, longer and shorter side, family by family (ISO 216; US sizes, handbook 8)
    "A": ((1189, 841), (841, 594), (594, 420), (420, 297), (297, 210), (210, 148), (148, 105)),
    "letter": ((279.4, 215.9),),
    "legal": ((355.6, 215.9),),
    "tabloid": ((431.8, 279.4),),
}
LENSES = (0.65, 0.75, 0.9, 1.1, 1.4, 1.8)  # of the picture's longer side, focal lengths of phones
SQUARE = 0.035  # cosine by which the sheet's sides may miss a right angle
ROOM = 0.006  # share of the shape that the measuring of the edges may be off
HELD = 0.6  # share of each side that must be seen
AROUND = 4.0  # blocks to each side in which an edge is looked for
BEYOND = 0.05  # share of the picture's side by which a corner may lie outside it
SAME = 0.04  # share by which a sheet's side may differ from its format's


def slant_frame(
    grey: Image.Image,
    paper: Paper,
    flat: Frame,
    scale: Measured | None,
    lines: Sequence[FloatArray],
) -> Frame | None:
    """Frame whose page is the sheet; None when its edges do not tell its shape.

    Args:
        grey: upright picture.
        paper: the sheet in it.
        flat: frame of the picture taken as it stands.
        scale: two points whose distance is known; else the scale in the picture's middle is kept.
        lines: what was traced, pixels, for the lens's bow.
    """
    edges = _edges(grey, paper)
    if edges is None:
        return None
    bow = find_bow([*edges, *lines], grey.size)
    at = _corners([straightened(e + 0.5, grey.size, bow) for e in edges])
    size = np.array(grey.size)
    if (np.abs(at / size - 0.5) > 0.5 + BEYOND).any():
        return None
    at = at[_from_top_left(at)]
    shape = _shape(at, grey.size)
    if shape is None:
        return None
    family, lying = shape
    wide = float(np.mean([long / short for long, short in FORMATS[family]]))
    frame = _sized(flat, at, wide if lying else 1 / wide, bow, scale)
    exact = _format(family, max(frame.width, frame.height)) if flat.scale_from else None
    if exact is not None:
        wide = exact[0] / exact[1]
        frame = _sized(flat, at, wide if lying else 1 / wide, bow, scale)
    paper_name = f"{wide:.3f} to 1"
    words = f"{flat.scale_from}, set straight by the edges of the sheet ({paper_name})"
    return replace(frame, scale_from=words if flat.scale_from else "")


def _sized(flat: Frame, at: FloatArray, wide: float, bow: float, scale: Measured | None) -> Frame:
    """Frame of a sheet of one shape at its true size."""
    height = 100.0
    matrix = homography(at, np.array([(0, 0), (wide, 0), (wide, 1), (0, 1)]) * height)
    frame = replace(flat, matrix=matrix, width=wide * height, height=height, bow=bow)
    factor = _factor(frame, flat, scale)
    grown = frame.then(np.diag([factor, factor, 1.0]))
    return replace(grown, width=frame.width * factor, height=height * factor)


def _format(family: str, longer: float) -> tuple[float, float] | None:
    """The format of a family that a sheet's longer side is nearest to, mm; None when it is off."""
    best = min(FORMATS[family], key=lambda f: abs(np.log(f[0] / longer)))
    return best if abs(np.log(best[0] / longer)) < SAME else None


def _factor(frame: Frame, flat: Frame, scale: Measured | None) -> float:
    """What brings the straightened page to its true size."""
    if scale is not None:
        ends = frame.to_mm(np.array([scale.start, scale.end]) - 0.5)
        return scale.length / float(np.hypot(*(ends[1] - ends[0])))
    middle = np.array(flat.pixels) / 2
    cross = middle + np.array([(-8.0, 0), (8, 0), (0, -8), (0, 8)])
    areas = []
    for one in (frame, flat):
        left, right, up, down = one.to_mm(cross)
        (a, b), (c, d) = right - left, down - up
        areas.append(abs(a * d - b * c))
    return float(np.sqrt(areas[1] / areas[0]))


def _edges(grey: Image.Image, paper: Paper) -> list[FloatArray] | None:
    """The sheet's four edges, pixels, to a part of a pixel; None unless all are well seen."""
    rough = corners(paper.sides)
    if rough is None or any(s is None or s.held < HELD for s in paper.sides):
        return None
    at = (rough + 0.5) * paper.step - 0.5
    values = np.asarray(grey)
    edges = []
    for k, side in enumerate(paper.sides):
        if side is None:
            return None
        points = _edge(values, at[k], at[(k + 1) % 4], side.out, AROUND * paper.step)
        if points is None:
            return None
        edges.append(points)
    return edges


def _edge(
    values: np.ndarray, start: FloatArray, end: FloatArray, out: FloatArray, reach: float
) -> FloatArray | None:
    """Where the brightness falls most on rays across one edge, `(n, 2)`."""
    from scipy.ndimage import gaussian_filter1d, map_coordinates

    d = np.arange(-reach, 2 * reach, 0.5)
    feet = start + (end - start) * np.linspace(0.03, 0.97, SAMPLES)[:, None]
    grid = feet[:, None, :] + d[None, :, None] * out
    seen = map_coordinates(
        values.astype(np.float32), [grid[..., 1], grid[..., 0]], order=1, mode="nearest"
    )
    fall = -np.gradient(gaussian_filter1d(seen, 3.0, axis=1), axis=1)
    top = fall[:, 1:-1].argmax(1) + 1
    rows = np.arange(len(feet))
    before, here, after = (fall[rows, top + k] for k in (-1, 0, 1))
    bend = np.minimum(before - 2 * here + after, -1e-6)
    part = np.clip(0.5 * (before - after) / bend, -0.5, 0.5)
    points = feet + (d[top] + 0.5 * part)[:, None] * out
    return without_strays(np.asarray(points, np.float64), out)


def _corners(edges: list[FloatArray]) -> FloatArray:
    """Where the lines through four edges meet, `(4, 2)`."""
    lines = []
    for edge in edges:
        middle = edge.mean(0)
        _, _, ways = np.linalg.svd(edge - middle)
        normal = ways[1]
        lines.append((normal, float(normal @ middle)))
    return np.array(
        [
            np.linalg.solve(
                np.array([lines[k - 1][0], lines[k][0]]), np.array([lines[k - 1][1], lines[k][1]])
            )
            for k in range(4)
        ]
    )


def _from_top_left(at: FloatArray) -> IntArray:
    """Order of the corners clockwise as seen, from the top left."""
    off = at - at.mean(0)
    order = np.argsort(np.arctan2(off[:, 1], off[:, 0]), kind="stable")
    return np.roll(order, -int(np.argmin(off[order].sum(1))))


def _shape(at: FloatArray, pixels: tuple[int, int]) -> tuple[str, bool] | None:
    """The paper's family and whether it lies; None when no family or more than one fits."""
    unit = np.array([(0, 0), (1, 0), (1, 1), (0, 1.0)])
    plane = homography(unit, at - np.array(pixels) / 2)
    ratios = []
    for lens in LENSES:
        one, other = (plane[:, k] / np.array([lens * max(pixels)] * 2 + [1.0]) for k in (0, 1))
        sizes = float(np.linalg.norm(one)), float(np.linalg.norm(other))
        if abs(float(one @ other)) < SQUARE * sizes[0] * sizes[1]:
            ratios.append(sizes[0] / sizes[1])
    if not ratios:
        return None
    low, high = min(ratios) * (1 - ROOM), max(ratios) * (1 + ROOM)
    fits = {
        (name, lying)
        for name, formats in FORMATS.items()
        for long, short in formats
        for lying in (True, False)
        if low <= (long / short if lying else short / long) <= high
    }
    return fits.pop() if len(fits) == 1 else None
