"""Marks of the hand drawn into the fields of known drawings: hatching, crosses, dots, shading, in many manners.

Marked fields never share a line, as leather must lie between two openings. A hand hatches a small field closer, so the
spacing follows the field's width; a field too narrow for three strokes is left bare.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, Polygon

from tests.make.scan_art import Art
from tests.make.scans import Marked

LEAST = 3.2  # mm, inscribed diameter of the narrowest field that is marked
WIDEST = 4.0  # mm between strokes of hatching
STROKE = 1.0  # mm, shortest stroke of hatching a hand bothers to draw
FEWEST = 3  # strokes of a hatched field; a hand crosses a smaller one
FEWEST_DOTS = 5
LINE_HALF = 0.3  # mm, half a drawn line's width at most


@dataclass(frozen=True, slots=True, kw_only=True)
class Manner:
    """One way to mark: what with, and how its strokes lie to the field's border."""

    what: str  # "hatch", "cross", "x", "dots", "grey"
    inset: tuple[float, float] = (0.5, 1.2)  # mm between the middle of the border and the mark
    wobble: float = 0.05  # mm, of the ends of strokes
    over: tuple[float, float] = (0.0, 0.0)  # mm that each stroke runs over its end, of its own
    closest: float = 1.0  # mm between strokes


MANNERS = {
    "hatched": Manner(what="hatch"),
    "touching": Manner(what="hatch", inset=(-0.1, 0.15)),
    "crossed": Manner(what="cross"),
    "ragged": Manner(what="hatch", inset=(0.0, 0.0), over=(-1.2, 0.7), closest=0.8),
    "ragged crossed": Manner(what="cross", inset=(0.0, 0.0), over=(-1.2, 0.7), closest=0.8),
    "X": Manner(what="x"),
    "dotted": Manner(what="dots", inset=(0.8, 1.2)),
    "shaded": Manner(what="grey", inset=(0.2, 0.6)),
}


def marked_fields(art: Art, manner: str, seed: int) -> tuple[Marked, list[Polygon], list[Polygon]]:
    """Marks for every second field of the drawing: the marks, the marked fields, the bare ones wide enough."""
    rng = np.random.default_rng(seed + 7000)
    how = MANNERS[manner]
    fields = sorted(art.fields, key=lambda f: (-f.area, f.centroid.x))
    wide = [f for f in fields if 2 * radius(f) >= LEAST]
    chosen: list[Polygon] = []
    for k in rng.permutation(len(wide)):
        f = wide[k]
        if all(f.intersection(c).length < 0.05 for c in chosen):
            chosen.append(f)
    bare = [f for f in wide if all(f is not c for c in chosen)]
    lines, dots, grey = [], [], []
    for f in chosen:
        inner = inside(f, rng.uniform(*how.inset))
        if how.what in ("hatch", "cross"):
            strokes = hatching(f, inner, how, rng)
            lines += strokes if len(strokes) >= FEWEST else cross(f, rng)
        elif how.what == "x":
            lines += cross(f, rng)
        elif how.what == "dots":
            here = stipple(f, inner, rng)
            dots += here if len(here) >= FEWEST_DOTS else []
            lines += [] if len(here) >= FEWEST_DOTS else cross(f, rng)
        else:
            grey += [g for g in parts(inner) if g.area > 1]
    marks = Marked(
        lines=tuple(lines),
        width=float(rng.uniform(0.3, 0.45)),
        dots=np.array(dots).reshape(-1, 2),
        dot=float(rng.uniform(0.4, 0.8)),
        grey=tuple(grey),
        grey_dark=float(rng.uniform(0.15, 0.4)),
    )
    return marks, chosen, bare


def radius(field: Polygon) -> float:
    """Radius of the largest circle in a field."""
    return float(shapely.maximum_inscribed_circle(field).length)


def inside(field: Polygon, inset: float) -> Polygon:
    """The field drawn in, as far as it can be."""
    return field.buffer(-min(inset, 0.5 * radius(field)))


def parts(area) -> list:
    """Pieces of an area or a line."""
    return [g for g in shapely.get_parts(area) if not g.is_empty]


def hatching(field: Polygon, inner: Polygon, how: Manner, rng) -> list[np.ndarray]:
    """Strokes at one spacing and angle of the hand, a second set across it when crossed."""
    most = min(WIDEST, 2 * radius(field) / 4)
    spacing = float(rng.uniform(how.closest, max(most, how.closest + 0.01)))
    angle = float(rng.uniform(0, 180))
    out = []
    for turn in (0.0, rng.uniform(70, 110))[: 2 if how.what == "cross" else 1]:
        a = np.radians(angle + turn)
        along, across = np.array([np.cos(a), np.sin(a)]), np.array([-np.sin(a), np.cos(a)])
        middle = np.array(field.centroid.coords[0])
        for k in np.arange(-120, 120, spacing) + rng.uniform(0, spacing):
            at = middle + across * (k + rng.normal(0, 0.06 * spacing))
            lean = across * rng.normal(0, 2.0)
            ray = LineString([at - along * 120 - lean, at + along * 120 + lean])
            out += [
                bent(run_over(np.asarray(piece.coords), how, rng), rng, how.wobble)
                for piece in parts(ray.intersection(inner))
                if piece.length > STROKE - 2 * min(how.over[0], 0)
            ]
    return out


def run_over(line: np.ndarray, how: Manner, rng) -> np.ndarray:
    """A stroke whose ends stop short of its border or run over it, each by its own."""
    if how.over == (0.0, 0.0):
        return line
    way = (line[-1] - line[0]) / np.hypot(*(line[-1] - line[0]))
    first, last = rng.uniform(*how.over, 2)
    return np.array([line[0] - way * first, line[-1] + way * last])


def bent(line: np.ndarray, rng, wobble: float) -> np.ndarray:
    """A stroke as a hand draws it: a little bowed, its ends a little off."""
    a, b = line[0] + rng.normal(0, wobble, 2), line[-1] + rng.normal(0, wobble, 2)
    t = np.linspace(0, 1, 9)[:, None]
    size = max(float(np.hypot(*(b - a))), 1e-9)
    across = np.array([-(b - a)[1], (b - a)[0]]) / size
    bow = float(np.clip(rng.normal(0, 0.012), -0.03, 0.03)) * min(size, 12.0)
    return np.asarray(a + (b - a) * t + across * 4 * bow * t * (1 - t))


def cross(field: Polygon, rng) -> list[np.ndarray]:
    """Two wobbly strokes across the widest place, short of the border."""
    circle = shapely.maximum_inscribed_circle(field)
    middle = np.array(circle.coords[0])
    reach = float(min(circle.length - LINE_HALF - 0.4, rng.uniform(1.2, 5.0)))
    turn = rng.uniform(-15, 15)
    out = []
    for degrees in (45 + turn, 135 + turn + rng.uniform(-12, 12)):
        a = np.radians(degrees)
        way = np.array([np.cos(a), np.sin(a)])
        at = middle + rng.normal(0, 0.06 * reach, 2)
        ends = np.array(
            [at - way * reach * rng.uniform(0.8, 1.0), at + way * reach * rng.uniform(0.8, 1.0)]
        )
        out.append(bent(ends, rng, 0.08))
    return out


def stipple(field: Polygon, inner: Polygon, rng) -> list[np.ndarray]:
    """Uneven dots on a loose grid."""
    spacing = float(rng.uniform(1.2, min(2.5, max(1.25, radius(field) * 0.6))))
    x0, y0, x1, y1 = inner.bounds
    grid = [(x, y) for x in np.arange(x0, x1, spacing) for y in np.arange(y0, y1, spacing)]
    moved = [np.array(p) + rng.uniform(-0.22, 0.22, 2) * spacing for p in grid]
    return [p for p in moved if inner.contains(shapely.Point(p))]
