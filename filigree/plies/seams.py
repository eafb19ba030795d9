"""Seams: lines midway between openings of different colour, as smooth curves that two patches share."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import shapely

from filigree.geometry.curves import NO_CURVES, CurveTable
from filigree.geometry.fit import fit_all
from filigree.geometry.flatten import flatten
from filigree.geometry.types import Area, FloatArray, IntArray

STEP = 0.25  # mm: between places taken along the edges of openings
MORE = 0.5  # mm: seams are found a little farther than they are needed
CHORDS = 0.005  # mm: flattening of the smooth seams
STEPS = 3  # Newton steps onto the middle line; each squares the error

Shapes = npt.NDArray[np.object_]


def seam_lines(
    shapes: Shapes, kind: IntArray, zone: Area, reach: float
) -> tuple[list[FloatArray], CurveTable]:
    """Find the lines in a zone that are as far from openings of one kind as from those of another.

    The ridges of a Voronoi diagram of places along the edges show where the lines run; their vertices are then
    moved to where both distances are equal, and cubics are laid through them.

    Args:
        shapes: polygons of the openings, `(n,)`.
        kind: kind of each, `(n,)`.
        zone: where seams are wanted.
        reach: mm; no place of the zone is farther from an opening of either side.

    Returns:
        The lines, flattened, each `(k, 2)`, and the curves that they were flattened from.
    """
    spots, owner = _spots(shapes, zone, reach)
    if len(spots) < 2 or zone.is_empty:
        return [], NO_CURVES
    vertices, ridges, between = _ridges(spots, owner, kind)
    lines = shapely.linestrings(vertices[ridges])
    near = shapely.dwithin(lines, zone, MORE)
    ridges, between = ridges[near], between[near]
    if not len(ridges):
        return [], NO_CURVES
    used, first = np.unique(ridges, return_index=True)
    vertices = vertices.copy()
    vertices[used] = _midway(vertices[used], shapes, between[first // 2])
    merged = shapely.line_merge(shapely.multilinestrings(list(vertices[ridges])))
    chains = [
        shapely.get_coordinates(line)
        for line in shapely.get_parts(shapely.simplify(merged, CHORDS / 5))
        if line.length > CHORDS
    ]
    return _smooth(chains)


def _spots(shapes: Shapes, zone: Area, reach: float) -> tuple[FloatArray, IntArray]:
    """Places along the edges of openings that may be nearest to a place in the zone, and their openings."""
    edges = shapely.segmentize(shapely.boundary(shapes), STEP)
    points, owner = shapely.get_coordinates(edges, return_index=True)
    shapely.prepare(zone)
    near = shapely.dwithin(shapely.points(points), zone, reach + 2 * MORE)
    points, owner = points[near], owner[near]
    _, once = np.unique(np.round(points, 6), axis=0, return_index=True)
    once = np.sort(once)
    return points[once], owner[once]


def _ridges(
    spots: FloatArray, owner: IntArray, kind: IntArray
) -> tuple[FloatArray, IntArray, IntArray]:
    """Voronoi vertices, the ridges between kinds as pairs of them, and the two openings of each ridge."""
    from scipy.spatial import Voronoi  # slow to import, needed for several colours only

    left, top = spots.min(axis=0)
    right, bottom = spots.max(axis=0)
    far = 10 * max(right - left, bottom - top, 10.0)
    frame = [(left - far, top - far), (right + far, top - far)]
    frame += [(right + far, bottom + far), (left - far, bottom + far)]
    diagram = Voronoi(np.vstack([spots, frame]))
    pairs, ridges = np.asarray(diagram.ridge_points), np.asarray(diagram.ridge_vertices)
    real = (pairs < len(spots)).all(axis=1) & (ridges >= 0).all(axis=1)
    pairs, ridges = pairs[real], ridges[real]
    between = owner[pairs]
    apart = kind[between[:, 0]] != kind[between[:, 1]]
    return np.asarray(diagram.vertices), ridges[apart], between[apart]


def _midway(points: FloatArray, shapes: Shapes, between: IntArray) -> FloatArray:
    """Move points to where the two openings of each are equally far (Newton on the difference)."""
    for _ in range(STEPS):
        spots = shapely.points(points)
        away, off = [], []
        for side in (0, 1):
            line = shapely.shortest_line(spots, shapes[between[:, side]])
            foot = shapely.get_coordinates(line)[1::2]
            step = points - foot
            distance = np.hypot(step[:, 0], step[:, 1])
            off.append(distance)
            away.append(step / np.maximum(distance, 1e-12)[:, None])
        slope = away[0] - away[1]
        size = (slope * slope).sum(axis=1)
        wrong = off[0] - off[1]
        move = np.divide(wrong, size, out=np.zeros_like(wrong), where=size > 0.05)
        points = points - np.clip(move, -STEP, STEP)[:, None] * slope
    return points


def _smooth(chains: Sequence[FloatArray]) -> tuple[list[FloatArray], CurveTable]:
    """Fit cubics through each chain and flatten them; chains keep their ends."""
    closed = [bool((c[0] == c[-1]).all()) and len(c) > 3 for c in chains]
    paths = fit_all(chains, closed)
    lines: list[FloatArray] = []
    for path in paths:
        chords = flatten(path.cubics, path.straight, CHORDS)
        lines.append(np.vstack([chords.starts, chords.ends[-1:]]))
    cubics = np.concatenate([path.cubics[~path.straight] for path in paths])
    chords = flatten(cubics, np.zeros(len(cubics), dtype=bool), CHORDS)
    table = CurveTable(
        cubics=cubics,
        starts=chords.starts,
        ends=chords.ends,
        curve=chords.piece,
        spans=chords.spans,
    )
    return lines, table
