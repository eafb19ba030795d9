"""Curved drawings with their source curves: paths flattened as a reader does it, and patterns of them."""

import numpy as np
import shapely

from filigree.geometry.curves import NO_CURVES, CurveTable
from filigree.geometry.flatten import flatten
from filigree.geometry.path import Path, polygon_path
from filigree.pattern import Pattern
from tests.make.shapes import opening

TOLERANCE = 0.005  # mm, as lines are flattened for measuring


def box(x, y, width, height):
    """A rectangle as a closed path."""
    corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
    return polygon_path(np.array(corners, dtype=float))


def blob(x, y, radius, seed=0, knots=6, rough=0.25):
    """A smooth closed outline of cubics round a point, star-shaped."""
    rng = np.random.default_rng(seed)
    angle = np.arange(knots) * 2 * np.pi / knots
    reach = radius * (1 - rough * rng.random(knots))
    p = np.column_stack([x + reach * np.cos(angle), y + reach * np.sin(angle)])
    slope = (np.roll(p, -1, axis=0) - np.roll(p, 1, axis=0)) / 6
    q, ahead = np.roll(p, -1, axis=0), np.roll(slope, -1, axis=0)
    cubics = np.stack([p, p + slope, q - ahead, q], axis=1)
    return Path(cubics=cubics, straight=np.zeros(knots, dtype=bool), closed=True)


def line_of(path, tolerance=TOLERANCE):
    """The path's chords as a closed line, `(n, 2)`."""
    chords = flatten(path.cubics, path.straight, tolerance)
    return np.vstack([chords.starts, chords.ends[-1:]])


def table_of(*paths, tolerance=TOLERANCE):
    """Source curves of paths with the chords that `line_of` gives."""
    bent = [path.cubics[~path.straight] for path in paths]
    cubics = np.concatenate(bent)
    if not len(cubics):
        return NO_CURVES
    chords = flatten(cubics, np.zeros(len(cubics), dtype=bool), tolerance)
    return CurveTable(
        cubics=cubics,
        starts=chords.starts,
        ends=chords.ends,
        curve=chords.piece,
        spans=chords.spans,
    )


def area_of(path, tolerance=TOLERANCE):
    """The area inside a closed path, as a polygon."""
    return shapely.Polygon(line_of(path, tolerance))


def faces_of(*paths, tolerance=TOLERANCE):
    """Faces of the drawn paths, noded as regions are."""
    lines = [shapely.LineString(line_of(path, tolerance)) for path in paths]
    noded = shapely.union_all(lines)
    return shapely.get_parts(shapely.polygonize(list(shapely.get_parts(noded)))).tolist()


def drawn(outline, *holes, inlays=None, tolerance=TOLERANCE):
    """A pattern of an outline and holes given as paths, with their curves kept."""
    shapes = [area_of(path, tolerance) for path in holes]
    outer = area_of(outline, tolerance)
    names = inlays or ["red"] * len(shapes)
    _, _, right, bottom = outer.bounds
    return Pattern(
        width=right,
        height=bottom,
        outline=outer,
        openings=tuple(
            opening(k, shape, inlay)
            for k, (shape, inlay) in enumerate(zip(shapes, names, strict=True), 1)
        ),
        land=outer.difference(shapely.union_all(shapes)),
        curves=table_of(outline, *holes, tolerance=tolerance),
    )
