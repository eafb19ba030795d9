"""Ranking: which strands of a pulled face are compared, and which of them are as hard worked as one another.

A strand found on one side of a face that is alike on both is compared with its mirror image, which the search for
the weakest way need not have run through. Mirrored along the pull or across it, a face is pulled as before; about
any other line it is not, so those two lines are all that is asked.
"""

from collections.abc import Sequence

import numpy as np
import shapely

from filigree.geometry.types import Area, FloatArray, IntArray
from filigree.measure.model import Neck

HARDEST = 5
ON = 0.05  # mm: the mirror image of a strand ends this near the edges of the face, or it is none
ALONG = np.array([0.1, 0.3, 0.5, 0.7, 0.9])  # shares of a strand's width: there is land everywhere
ALIKE = 0.03  # share of the stress by which the grid may tell mirror images apart


def mirrored(ends: FloatArray, land: Area) -> tuple[FloatArray, IntArray]:
    """Add to strands their mirror images about the middle lines of the face, where there are such strands.

    Args:
        ends: start and end of each, `(n, 2, 2)`, turned so that the pull runs along x.
        land: the face, turned in the same way.

    Returns:
        Ends of all, the given ones first, and for each the one it is an image of.
    """
    left, top, right, bottom = land.bounds
    middle = np.array([left + right, top + bottom])
    images, of = [ends], [np.arange(len(ends))]
    edges = shapely.boundary(land)
    shapely.prepare(edges)
    shapely.prepare(land)
    for flip in (np.array([True, False]), np.array([False, True]), np.array([True, True])):
        image = np.where(flip, middle - ends, ends)
        near = shapely.distance(edges, shapely.points(image)).max(axis=1) <= ON
        there = np.flatnonzero(near)
        across = image[there, :1] + (image[there, 1:] - image[there, :1]) * ALONG[:, None]
        there = there[shapely.contains_xy(land, across[..., 0], across[..., 1]).all(axis=1)]
        images.append(image[there])
        of.append(there)
    return np.concatenate(images), np.concatenate(of)


def ends_of(necks: Sequence[Neck]) -> FloatArray:
    """Start and end of each neck, `(n, 2, 2)`."""
    return np.array([[n.start, n.end] for n in necks]).reshape(-1, 2, 2)


def levelled(intensity: FloatArray, of: IntArray) -> FloatArray:
    """Give mirror images one value, where they differ by no more than the grid may make them."""
    most = np.zeros(of.max(initial=-1) + 1)
    np.maximum.at(most, of, intensity)
    return np.where(intensity >= most[of] * (1 - ALIKE), most[of], intensity)


def hardest(middles: FloatArray, width: FloatArray, intensity: FloatArray) -> list[int]:
    """Choose the hardest strands, and all that are as hard as the last of them.

    A place as near to a harder one as half their width is the same strand.
    """
    chosen: list[int] = []
    for k in np.lexsort((np.arange(len(width)), -intensity)).tolist():
        if len(chosen) >= HARDEST and intensity[k] < intensity[chosen[-1]]:
            break
        off = np.hypot(*(middles[chosen] - middles[k]).T)
        if (off >= np.maximum(width[chosen], width[k]) / 2).all():
            chosen.append(k)
    return chosen


def ranks(intensity: Sequence[float]) -> tuple[int, ...]:
    """Give places in a ranking, hardest first; equals share a place, and the next one counts them.

    >>> ranks([2.4, 2.4, 1.0])
    (1, 1, 3)
    """
    return tuple(1 + sum(other > one for other in intensity) for one in intensity)


def sampled(
    stress: FloatArray, share: FloatArray, x: FloatArray, y: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Stress and leather at places of a grid, counted in cells, between the middles of the four cells round each.

    The mean of four gives mirrored places mirrored values; the nearest cell does not, on its border.

    Args:
        stress: of the cells, `(rows, columns, 3)`.
        share: leather in them, `(rows, columns)`.
        x: places from the left edge of the grid, `(n, m)`.
        y: places from its top.

    Returns:
        `(n, m, 3)` and `(n, m)`.
    """
    rows, columns = share.shape
    x, y = np.clip(x - 0.5, 0, columns - 1), np.clip(y - 0.5, 0, rows - 1)
    left = np.minimum(x.astype(np.int64), columns - 2)
    above = np.minimum(y.astype(np.int64), rows - 2)
    found, leather = np.zeros((*x.shape, 3)), np.zeros(x.shape)
    for across, down in ((0, 0), (1, 0), (0, 1), (1, 1)):
        weight = (1 - np.abs(x - left - across)) * (1 - np.abs(y - above - down))
        found += weight[..., None] * stress[above + down, left + across]
        leather += weight * share[above + down, left + across]
    return found, leather
