"""Scrolling waves: a crest that rolls in on itself, flow lines along it, foam on its back."""

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import Polygon

from scripts.gallery.curves import Points, even, normals, spiral, spline
from scripts.gallery.face import Motif
from scripts.gallery.shapes import Pairs, blob, joined, stroke

INNER = 7.0  # mm, radius where a curl ends

Curl = tuple[Sequence[float], float, float, float]  # centre, radius, start in degrees, turns


def room(centre: Sequence[float], radius: float, start: float, turns: float) -> Polygon:
    """The room inside a curl, kept clear of what lies behind it."""
    hull = shapely.MultiPoint(spiral(centre, radius, INNER, start, turns)[8:]).convex_hull
    return Polygon(hull.exterior)


def roll(
    curl: Curl, tail: Pairs, widths: Sequence[float], *, lines: Sequence[float] = (-0.18, 0.16)
) -> Motif:
    """A wave: a tail through points that runs into a spiral, ending in a round eye."""
    centre, radius, start, turns = curl
    curl_line = spiral(centre, radius, INNER, start, turns)
    knots = np.vstack(
        [np.asarray(tail, dtype=float), curl_line[:: max(1, len(curl_line) // 18)], curl_line[-1:]]
    )
    middle = spline(knots)
    eye = foam(middle[-1], widths[-1] * 0.72)
    body = joined(Motif(area=stroke(middle, widths)), eye)
    return Motif(
        area=body.area,
        veins=tuple(_flow(middle, widths, share, k) for k, share in enumerate(lines)),
    )


def foam(at: Sequence[float], size: float) -> Motif:
    """A round fleck of foam."""
    x, y = at
    t = np.linspace(0, 2 * np.pi, 13)[:-1]
    return blob(np.column_stack([x + size * np.cos(t), y + size * np.sin(t)]))


def _flow(middle: Points, widths: Sequence[float], share: float, k: int) -> Points:
    """A line along a wave at a share of its width off the middle."""
    n = len(middle)
    wide = np.interp(np.linspace(0, 1, n), np.linspace(0, 1, len(widths)), widths)
    line = middle + normals(middle) * (wide * share)[:, None]
    return even(line[int(n * (0.04 + 0.05 * k)) : int(n * (0.74 - 0.1 * k))])
