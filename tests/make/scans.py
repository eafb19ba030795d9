"""Scans and photos with known truth: ink, pencil on film, a phone photo; marks in fields.

A sheet is drawn by resvg finer than the scan, then degraded in the order a real sheet is: grain and breaks on
the paper, tilt and bow by the camera, light, blur, noise. Truth stays in mm of the drawing's page.
"""

from dataclasses import dataclass, field
from io import BytesIO

import numpy as np
import resvg_py
from PIL import Image
from scipy import ndimage
from shapely import LineString, Polygon
from shapely.affinity import translate

from tests.make.scan_art import Art

MM_PER_INCH = 25.4
FINE = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Hand:
    """How a sheet is drawn and scanned."""

    dpi: float = 300.0
    ink: float = 0.85  # darkness of a stroke, 0 to 1
    grain: float = 0.0  # share of a stroke's darkness that the paper's grain takes
    sway: float = 0.0  # slow change of darkness along a stroke
    breaks: float = 0.0  # breaks to 100 mm of line
    paper: float = 0.93
    noise: float = 0.015
    blur: float = 0.55  # pixels
    skew: float = 0.0  # degrees
    cap: str = "round"
    seed: int = 0


INK = Hand()
PENCIL = Hand(ink=0.5, grain=0.45, sway=0.35, breaks=2.0, paper=0.86, noise=0.02)


@dataclass(frozen=True, slots=True, kw_only=True)
class Marked:
    """Marks drawn into fields: lines and their widths, dots, and grey areas."""

    lines: tuple[np.ndarray, ...] = ()
    width: float = 0.35
    dots: np.ndarray = field(default_factory=lambda: np.zeros((0, 2)))
    dot: float = 0.5
    grey: tuple[Polygon, ...] = ()
    grey_dark: float = 0.3


def svg_of(art: Art, marked: Marked | None = None, *, cap="round", extra="") -> str:
    """The sheet as SVG, black on white; grey areas are left to `painted`."""
    w, h = art.size

    def path(line, width, caps):
        d = "M" + "L".join(f"{x:.4f} {y:.4f}" for x, y in line)
        if np.allclose(line[0], line[-1]):
            d += "Z"
        return f'<path d="{d}" stroke-width="{width:.4f}" stroke-linecap="{caps}"/>'

    body = "".join(path(line, wide, cap) for line, wide in zip(art.lines, art.widths, strict=True))
    if marked is not None:
        body += "".join(path(line, marked.width, "round") for line in marked.lines)
        body += "".join(
            f'<circle cx="{x:.4f}" cy="{y:.4f}" r="{marked.dot / 2 * (0.8 + 0.1 * (k % 5)):.4f}" fill="#000" stroke="none"/>'
            for k, (x, y) in enumerate(marked.dots)
        )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="PIXELS_W" height="PIXELS_H" viewBox="0 0 {w} {h}" preserveAspectRatio="none">'
        f'<rect width="{w}" height="{h}" fill="#fff"/>'
        f'<g fill="none" stroke="#000" stroke-linejoin="round">{body}</g>{extra}</svg>'
    )


def painted(svg: str, width: int, height: int) -> np.ndarray:
    """Darkness 0 to 1 of the drawn sheet, `(height, width)`."""
    svg = svg.replace("PIXELS_W", str(width)).replace("PIXELS_H", str(height))
    data = resvg_py.svg_to_bytes(svg_string=svg)
    return 1 - np.asarray(Image.open(BytesIO(bytes(data))).convert("L"), np.float32) / 255


def shrink(image: np.ndarray, by: int = FINE) -> np.ndarray:
    """Mean of blocks."""
    h, w = image.shape[0] // by, image.shape[1] // by
    return image[: h * by, : w * by].reshape(h, by, w, by).mean((1, 3))


def with_breaks(art: Art, hand: Hand, rng) -> tuple[Art, list[tuple[float, float]]]:
    """Strokes with breaks of 0.3 to 0.8 mm of bare paper; the truth keeps the whole lines."""
    pieces, wide, places = [], [], []
    for line, width in zip(art.lines, art.widths, strict=True):
        whole = LineString(line)
        cuts = []
        for _ in range(rng.poisson(whole.length * hand.breaks / 100)):
            at = rng.uniform(3, max(3.1, whole.length - 3))
            if all(abs(at - c[0]) > 4 for c in cuts) and at < whole.length - 3:
                cuts.append((at, rng.uniform(0.3, 0.8) + width))  # round ends reach half a width in
        last = 0.0
        for at, gap in sorted(cuts):
            pieces.append(cut_out(whole, last, at - gap / 2))
            wide.append(width)
            places.append(tuple(whole.interpolate(at).coords[0]))
            last = at + gap / 2
        pieces.append(cut_out(whole, last, whole.length))
        wide.append(width)
    return Art(size=art.size, lines=tuple(pieces), widths=tuple(wide)), places


def cut_out(line: LineString, start: float, end: float) -> np.ndarray:
    """The piece of a line between two distances."""
    from shapely.ops import substring

    return np.asarray(substring(line, start, end).coords)


def sheet(
    art: Art, hand: Hand = INK, marked: Marked | None = None, *, fine: int = FINE
) -> np.ndarray:
    """Scan of the drawing, grey 0 to 255, `(height, width)` uint8; the page fills the image.

    `fine` is how many times finer than the scan it is drawn first, each way; less saves memory on a large page.
    """
    rng = np.random.default_rng(hand.seed)
    per_mm = hand.dpi / MM_PER_INCH
    w, h = (round(v * per_mm) for v in art.size)
    drawn = art
    if hand.breaks:
        drawn, _ = with_breaks(art, hand, rng)
    if hand.skew:
        drawn = Art(
            size=art.size,
            lines=tuple(turned(art.size, hand.skew, v) for v in drawn.lines),
            widths=drawn.widths,
        )
    # the page in whole pixels: the scale stays exact
    size = (w / per_mm, h / per_mm)
    dark = painted(
        svg_of(Art(size=size, lines=drawn.lines, widths=drawn.widths), marked, cap=hand.cap),
        w * fine,
        h * fine,
    )
    dark = worn(dark, hand, rng, per_mm * fine)
    dark = shaded(dark, hand, marked, size)
    value = hand.paper * (1 - hand.ink * shrink(dark, fine))
    return as_bytes(value, hand, rng)


def shaded(dark: np.ndarray, hand: Hand, marked: Marked | None, size) -> np.ndarray:
    """Flat shading laid over the sheet."""
    if marked is None or not marked.grey:
        return dark
    shade = painted(svg_of_areas(size, marked.grey), dark.shape[1], dark.shape[0])
    return np.maximum(dark, shade * marked.grey_dark / max(hand.ink, 1e-9))


def as_bytes(value: np.ndarray, hand: Hand, rng) -> np.ndarray:
    """Blur, noise and eight bits."""
    value = ndimage.gaussian_filter(value, hand.blur)
    value = value + rng.normal(0, hand.noise, value.shape).astype(np.float32)
    return np.clip(np.rint(value * 255), 0, 255).astype(np.uint8)


def svg_of_areas(size, areas) -> str:
    """Filled areas as SVG."""
    w, h = size
    rings = [[a.exterior, *a.interiors] for a in areas]
    body = "".join(
        '<path fill-rule="evenodd" d="'
        + "".join("M" + "L".join(f"{x:.4f} {y:.4f}" for x, y in r.coords) + "Z" for r in own)
        + '"/>'
        for own in rings
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="PIXELS_W" height="PIXELS_H" viewBox="0 0 {w} {h}" preserveAspectRatio="none">'
        f'<rect width="{w}" height="{h}" fill="#fff"/>{body}</svg>'
    )


def worn(dark: np.ndarray, hand: Hand, rng, per_mm: float) -> np.ndarray:
    """Grain of the paper and slow sway of the hand's pressure, 0 to 1."""
    if not hand.grain and not hand.sway:
        return dark

    def field_of(size_mm):
        step = max(1, int(size_mm * per_mm / 2))
        small = rng.normal(0, 1, (dark.shape[0] // step + 3, dark.shape[1] // step + 3)).astype(
            np.float32
        )
        big = ndimage.zoom(small, step, order=1)[: dark.shape[0], : dark.shape[1]]
        return big / max(float(big.std()), 1e-6)

    grain = np.clip(0.5 + 0.5 * field_of(0.12), 0, 1) * hand.grain
    sway = np.clip(0.5 + 0.5 * field_of(8.0), 0, 1) * hand.sway
    return dark * np.clip(1 - grain, 0.05, 1) * (1 - sway)


def turned(size, degrees: float, line: np.ndarray) -> np.ndarray:
    """A line turned about the page's middle."""
    a = np.radians(degrees)
    middle = np.array(size) / 2
    return (np.asarray(line) - middle) @ np.array(
        [[np.cos(a), np.sin(a)], [-np.sin(a), np.cos(a)]]
    ) + middle


@dataclass(frozen=True, slots=True, kw_only=True)
class Camera:
    """A phone held over the sheet."""

    tilt: float = 12.0  # degrees
    toward: float = 30.0  # direction of the tilt, degrees
    turn: float = 3.0  # degrees in the picture
    bow: float = -0.03  # radial, at the picture's corner; negative is barrel
    vignette: float = 0.25
    shadow: float = 0.35
    per_mm: float = 11.0  # pixels to a mm at the middle
    noise: float = 0.02
    blur: float = 0.8
    seed: int = 0


MARK = 6.0  # mm, side of a corner mark
ROOM = 8.0  # mm, from the page's edge to the middle of a mark
MARGIN = 9.0  # mm, paper beyond the marks' middles


def marked_sheet(art: Art) -> tuple[Art, str, tuple[float, float], tuple[float, float]]:
    """The art on a larger sheet with four square marks: `(art, svg of marks, offset, centre distances)`."""
    w, h = art.size
    off = ROOM + MARGIN
    size = (w + 2 * off, h + 2 * off)
    lines = tuple(np.asarray(v) + off for v in art.lines)
    corners = [
        (MARGIN, MARGIN),
        (size[0] - MARGIN, MARGIN),
        (size[0] - MARGIN, size[1] - MARGIN),
        (MARGIN, size[1] - MARGIN),
    ]
    marks = "".join(
        f'<rect x="{x - MARK / 2}" y="{y - MARK / 2}" width="{MARK}" height="{MARK}"/>'
        for x, y in corners
    )
    return (
        Art(size=size, lines=lines, widths=art.widths),
        marks,
        (ROOM, ROOM),
        (w + 2 * ROOM, h + 2 * ROOM),
    )


def photo(
    art: Art,
    hand: Hand = INK,
    camera: Camera = Camera(),
    marked: Marked | None = None,
    *,
    leave_out: int = 0,
):
    """A photo of the sheet on a dark table: grey uint8, truth offset from the first mark, marks' distances."""
    rng = np.random.default_rng(camera.seed + 1000)
    placed, marks, offset, apart = marked_sheet(art)
    if marked is not None:
        off = ROOM + MARGIN
        marked = Marked(
            lines=tuple(np.asarray(v) + off for v in marked.lines),
            width=marked.width,
            dots=marked.dots + off,
            dot=marked.dot,
            grey=tuple(translate(a, off, off) for a in marked.grey),
            grey_dark=marked.grey_dark,
        )
    if leave_out:
        marks = marks.split("/>")
        marks = "/>".join(marks[leave_out:])
    drawn = placed
    if hand.breaks:
        drawn, _ = with_breaks(placed, hand, rng)
    fine = camera.per_mm * 2
    sw, sh = (round(v * fine) for v in placed.size)
    dark = painted(svg_of(drawn, marked, cap=hand.cap, extra=marks), sw, sh)
    dark = worn(dark, hand, rng, fine)
    dark = shaded(dark, hand, marked, placed.size)
    value = hand.paper * (1 - hand.ink * dark)
    table = 0.28
    # picture: the sheet with a rim of table round it
    pw, ph = (int(v * camera.per_mm * 1.12) for v in placed.size)
    if pw % 2:
        pw += 1
    yy, xx = np.mgrid[0:ph, 0:pw].astype(np.float64)
    cx, cy = (pw - 1) / 2, (ph - 1) / 2
    radius = np.hypot(cx, cy)
    u, v = (xx - cx) / radius, (yy - cy) / radius
    # picture -> straight picture: r_straight = r (1 + k r^2), with k = -bow
    r2 = u * u + v * v
    u, v = u * (1 - camera.bow * r2), v * (1 - camera.bow * r2)
    # straight picture -> sheet plane, by a camera at a distance of about 1.6 picture widths
    a, t = np.radians(camera.turn), np.radians(camera.tilt)
    d = np.radians(camera.toward)
    u, v = u * np.cos(a) + v * np.sin(a), -u * np.sin(a) + v * np.cos(a)
    focal = 2.4
    # ray through the picture point meets the tilted sheet
    n = np.array([np.sin(t) * np.cos(d), np.sin(t) * np.sin(d), np.cos(t)])
    e1 = np.array(
        [
            np.cos(t) * np.cos(d) ** 2 + np.sin(d) ** 2,
            (np.cos(t) - 1) * np.cos(d) * np.sin(d),
            -np.sin(t) * np.cos(d),
        ]
    )
    e2 = np.cross(n, e1)
    scale = focal * n[2] / (u * n[0] + v * n[1] + focal * n[2])
    px, py, pz = u * scale, v * scale, focal * scale - focal
    sx = (px * e1[0] + py * e1[1] + pz * e1[2]) * radius / camera.per_mm + placed.size[0] / 2
    sy = (px * e2[0] + py * e2[1] + pz * e2[2]) * radius / camera.per_mm + placed.size[1] / 2
    inside = (sx > 0) & (sy > 0) & (sx < placed.size[0]) & (sy < placed.size[1])
    picture = ndimage.map_coordinates(
        ndimage.gaussian_filter(value, 0.7),
        [sy * fine - 0.5, sx * fine - 0.5],
        order=1,
        mode="nearest",
    )
    grainy = table + 0.05 * ndimage.gaussian_filter(rng.normal(0, 4, picture.shape), (0.7, 6))
    picture = np.where(inside, picture, grainy)
    light = 1 - camera.vignette * r2
    edge = (xx - 0.55 * pw) * 0.8 + (yy - 0.3 * ph) * 0.6
    light = light * (1 - camera.shadow / (1 + np.exp(-edge / (0.02 * pw))))
    blurred = ndimage.gaussian_filter(picture * light, camera.blur)
    out = blurred + rng.normal(0, camera.noise, picture.shape)
    return np.clip(np.rint(out * 255), 0, 255).astype(np.uint8), offset, apart


def save(grey: np.ndarray, path, *, dpi: float | None = 300.0, **more) -> None:
    """Write as the name's ending says, with its density."""
    image = Image.fromarray(grey)
    if dpi is not None:
        more["dpi"] = (dpi, dpi)
    image.save(path, **more)
