"""Photo: the part of a picture between four corner marks, and its frame once the lines are known."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from PIL import Image, ImageDraw

from filigree.drawing.scan.bow import find_bow, sheet_edges
from filigree.drawing.scan.frame import Frame, homography, straightened
from filigree.drawing.scan.light import Grey32
from filigree.drawing.scan.marks import BAR, Marks
from filigree.geometry.types import FloatArray

OUTSIDE = 0.3  # sides of a mark beyond the marks' middles that still belong to the drawing
HIDDEN = 0.85  # sides of a mark, half the box that is blotted out round its middle
AROUND = 2.0  # sides of a mark kept round the drawing for the light
BEYOND = 0.25  # of the marks' distance, how far the sheet's edge is looked for


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cut:
    """The part of a picture that is read, and where its top left lies in the whole picture."""

    grey: Image.Image
    corner: FloatArray


def cut_out(grey: Image.Image, marks: Marks) -> Cut:
    """The picture between the marks, with some paper round it."""
    room = AROUND * float(marks.side.max())
    low = np.maximum(np.floor(marks.at.min(0) - room), 0).astype(int)
    high = np.minimum(np.ceil(marks.at.max(0) + room), np.array(grey.size)).astype(int)
    box = (int(low[0]), int(low[1]), int(high[0]), int(high[1]))
    return Cut(grey=grey.crop(box), corner=low.astype(float))


def blot_out(dark: Grey32, cut: Cut, marks: Marks) -> Grey32:
    """Take away everything outside the marks, the marks themselves and the small square beside the first."""
    at = marks.at - cut.corner
    middle = at.mean(0)
    off = at - middle
    size = np.hypot(off[:, 0], off[:, 1])[:, None]
    outer = at + off / size * OUTSIDE * marks.side[:, None]
    keep = Image.new("1", cut.grey.size)
    pen = ImageDraw.Draw(keep)
    pen.polygon([(float(x), float(y)) for x, y in outer], fill=1)
    along = (at[1] - at[0]) / float(np.hypot(*(at[1] - at[0])))
    spots = [*zip(at, HIDDEN * marks.side, strict=True)]
    spots.append((at[0] + BAR[0] * marks.side[0] * along, HIDDEN * BAR[1] * marks.side[0]))
    for (x, y), half in spots:
        pen.rectangle((x - half, y - half, x + half, y + half), fill=0)
    dark[~np.asarray(keep)] = 0
    return dark


def marks_frame(marks: Marks, pixels: tuple[int, int], bow: float = 0.0) -> Frame:
    """Frame whose page runs from mark to mark."""
    matrix = homography(straightened(marks.at + 0.5, pixels, bow), marks.corners)
    width, height = marks.sheet
    return Frame(
        pixels=pixels,
        matrix=matrix,
        width=width,
        height=height,
        scale_from=f"--marks {width:g}x{height:g}",
        bow=bow,
    )


def bowed_frame(grey: Image.Image, marks: Marks, lines: Sequence[FloatArray]) -> Frame:
    """Frame with the lens's bow, read from the sheet's edges and the drawing's long straight lines."""
    apart = float(np.hypot(*(marks.at[2] - marks.at[0])))
    edges = sheet_edges(np.asarray(grey), marks.at, BEYOND * apart)
    return marks_frame(marks, grey.size, find_bow([*edges, *lines], grey.size))
