"""Photos of a sheet on a table with known truth: other tables, shadows, stains, folds, things laid on the sheet.

The plane of the table is in mm with the sheet's top left at 0, 0; a pinhole camera sees it through a homography
and a bowed lens. Truth is the drawing's lines sent the same way: `Shot.to_picture`.
"""

from dataclasses import dataclass, field, replace

import numpy as np
from scipy import ndimage

from filigree.drawing.scan.frame import bowed, homography, straightened, through
from tests.make.photo_things import Thing, table_of
from tests.make.scan_art import Art
from tests.make.scans import INK, MARGIN, MARK, ROOM, Hand, painted, svg_of, with_breaks, worn


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """What lies before the camera, and how it is seen.

    Attributes:
        margin: paper round the art's page, mm; with marks it is their room.
        marks: True for four corner marks on the sheet.
        table: name in `photo_things.TABLES`.
        cast: darkness of the shadow that the sheet casts on the table.
        things: stains and shadows, sheet mm.
        fill: sheet's share of the picture's side; over 1 the sheet runs out of the picture.
        aside: shift of the sheet in the picture, shares of its side.
    """

    margin: float = 12.0
    marks: bool = False
    table: str = "wood"
    cast: float = 0.25
    things: tuple[Thing, ...] = ()
    fill: float = 0.86
    aside: tuple[float, float] = (0.0, 0.0)
    tilt: float = 8.0
    toward: float = 30.0
    turn: float = 3.0
    bow: float = 0.0
    vignette: float = 0.2
    per_mm: float = 11.0
    noise: float = 0.015
    blur: float = 0.8
    seed: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Shot:
    """A photo and its truth; `lines` are the drawing's, sheet mm; `apart` the marks' distances, `origin` the first's place."""

    grey: np.ndarray
    lines: tuple[np.ndarray, ...]
    size: tuple[float, float]
    matrix: np.ndarray
    bow: float
    origin: tuple[float, float] = (0.0, 0.0)
    apart: tuple[float, float] = (0.0, 0.0)
    edge: np.ndarray = field(default_factory=lambda: np.zeros((0, 2)))

    def to_picture(self, points: np.ndarray) -> np.ndarray:
        """Pixels, centres at whole numbers, of sheet mm."""
        pixels = (self.grey.shape[1], self.grey.shape[0])
        return bowed(through(self.matrix, np.asarray(points, float)), pixels, self.bow) - 0.5


def shot(art: Art, scene: Scene = Scene(), hand: Hand = INK) -> Shot:
    """Photograph the art's sheet."""
    rng = np.random.default_rng(scene.seed + 5000)
    margin = ROOM + MARGIN if scene.marks else scene.margin
    size = (art.size[0] + 2 * margin, art.size[1] + 2 * margin)
    lines = tuple(np.asarray(v) + margin for v in art.lines)
    drawn = Art(size=size, lines=lines, widths=art.widths)
    if hand.breaks:
        drawn, _ = with_breaks(drawn, hand, rng)
    fine = scene.per_mm * 2
    extra = _marks(size) if scene.marks else ""
    dark = painted(svg_of(drawn, cap=hand.cap, extra=extra), *(round(v * fine) for v in size))
    dark = worn(dark, hand, rng, fine)
    paper = hand.paper * (1 - hand.ink * dark)
    pixels, matrix = _camera(size, scene)
    grey = _seen(paper, fine, size, pixels, matrix, scene, rng)
    corners = np.array([(0, 0), (size[0], 0), size, (0, size[1])], float)
    return Shot(
        grey=grey,
        lines=lines,
        size=size,
        matrix=matrix,
        bow=scene.bow,
        origin=(MARGIN, MARGIN),
        apart=(size[0] - 2 * MARGIN, size[1] - 2 * MARGIN),
        edge=corners,
    )


def _marks(size) -> str:
    w, h = size
    at = [(MARGIN, MARGIN), (w - MARGIN, MARGIN), (w - MARGIN, h - MARGIN), (MARGIN, h - MARGIN)]
    half = MARK / 2
    return "".join(
        f'<rect x="{x - half}" y="{y - half}" width="{MARK}" height="{MARK}"/>' for x, y in at
    )


def _camera(size, scene: Scene):
    """Picture's size and the homography from sheet mm to straight pixels."""
    pw, ph = (int(v * scene.per_mm / scene.fill) // 2 * 2 for v in size)
    half = np.hypot(*size) / 2
    corners = np.array([(0, 0), (size[0], 0), size, (0, size[1])], float)
    a = np.radians(scene.turn)
    flat = (corners - np.array(size) / 2) / half
    flat = flat @ np.array([[np.cos(a), np.sin(a)], [-np.sin(a), np.cos(a)]])
    t, d = np.radians(scene.tilt), np.radians(scene.toward)
    along = flat @ np.array([np.cos(d), np.sin(d)])
    across = flat @ np.array([-np.sin(d), np.cos(d)])
    away = 1 + along * np.sin(t) / 3.2
    seen = np.column_stack([along * np.cos(t) / away, across / away])
    back = seen @ np.array([[np.cos(d), np.sin(d)], [-np.sin(d), np.cos(d)]])
    middle = np.array([pw, ph]) / 2 + np.array(scene.aside) * (pw, ph)
    return (pw, ph), homography(corners, back * half * scene.per_mm + middle)


def _seen(paper, fine, size, pixels, matrix, scene: Scene, rng) -> np.ndarray:
    pw, ph = pixels
    yy, xx = np.mgrid[0:ph, 0:pw].astype(float)
    at = np.column_stack([xx.ravel(), yy.ravel()]) + 0.5
    plane = through(np.linalg.inv(matrix), straightened(at, pixels, scene.bow))
    sx, sy = plane[:, 0].reshape(ph, pw), plane[:, 1].reshape(ph, pw)
    on_sheet = ndimage.map_coordinates(
        ndimage.gaussian_filter(paper, 0.7),
        [sy * fine - 0.5, sx * fine - 0.5],
        order=1,
        mode="nearest",
    )
    for thing in scene.things:
        if thing.on == "paper":
            on_sheet = thing.laid(on_sheet, sx, sy, size)
    off = np.maximum(np.maximum(-sx, sx - size[0]), np.maximum(-sy, sy - size[1]))
    below = table_of(scene.table, sx, sy, rng)
    # the sheet's shadow lies to its lower right
    fall = np.maximum(
        np.maximum(-sx + 0.4, sx - size[0] - 0.8), np.maximum(-sy + 0.4, sy - size[1] - 0.8)
    )
    below = below * (1 - scene.cast * np.exp(-np.maximum(fall, 0) / 1.2))
    cover = np.clip(0.5 - off * scene.per_mm, 0, 1)
    for thing in scene.things:
        if thing.on == "hole":
            cover = cover * (1 - thing.cover(sx, sy))
    picture = cover * on_sheet + (1 - cover) * below
    for thing in scene.things:
        if thing.on == "all":
            picture = thing.laid(picture, sx, sy, size)
    r2 = ((xx - pw / 2) ** 2 + (yy - ph / 2) ** 2) / ((pw / 2) ** 2 + (ph / 2) ** 2)
    picture = picture * (1 - scene.vignette * r2)
    out = ndimage.gaussian_filter(picture, scene.blur)
    out = out + rng.normal(0, scene.noise, picture.shape)
    return np.clip(np.rint(out * 255), 0, 255).astype(np.uint8)


def plain(scene: Scene, **more) -> Scene:
    """The scene with other settings."""
    return replace(scene, **more)
