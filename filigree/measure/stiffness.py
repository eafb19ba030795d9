"""Stiffness: what works hardest when a face is pulled.

Plane stress on a grid of square elements, stiff by the share of each that is leather; Poisson ratio 0.3,
both ends displaced along the pull, sides free. Leather is not elastic and not alike in all directions:
the figures rank, they do not predict.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import affinity

from filigree.geometry.types import XY, Area, FloatArray, IntArray
from filigree.job import Use
from filigree.measure.model import EDGE, Measures, Neck
from filigree.measure.pull import direction
from filigree.measure.ranking import ends_of, hardest, levelled, mirrored, ranks, sampled
from filigree.measure.raster import coverage
from filigree.pattern import Pattern

POISSON = 0.3
STEP = 0.5  # mm
CELLS = (6_000, 60_000)  # the grid is made finer on small pieces, coarser on large ones
QUICK = 24_000  # cells that take a fifth of a second; enough where nothing is narrow
WHOLE = 6_000  # cells of the uncut face, whose stiffness needs no fine grid
SEES = 0.5  # of a width: a coarser grid says nothing about it
SOFT = 1.5  # power of the share: a cell that an edge crosses bends, so it is softer than its share
EMPTY = 1e-3  # share of a cell under which it is taken for a hole
END = 0.01  # of the length: nodes this near an end are held
ACROSS = 9  # points across a strand

# Stiffness of a square bilinear element of modulus 1 and thickness 1, nodes 00, 10, 11, 01; the closed
# form does not depend on its size (Cook, Concepts and applications of finite element analysis, from memory).
_K = (
    1 / 2 - POISSON / 6,
    1 / 8 + POISSON / 8,
    -1 / 4 - POISSON / 12,
    -1 / 8 + 3 * POISSON / 8,
    -1 / 4 + POISSON / 12,
    -1 / 8 - POISSON / 8,
    POISSON / 6,
    1 / 8 - 3 * POISSON / 8,
)
_ORDER = (
    (0, 1, 2, 3, 4, 5, 6, 7),
    (1, 0, 7, 6, 5, 4, 3, 2),
    (2, 7, 0, 5, 6, 3, 4, 1),
    (3, 6, 5, 0, 7, 2, 1, 4),
    (4, 5, 6, 7, 0, 1, 2, 3),
    (5, 4, 3, 2, 1, 0, 7, 6),
    (6, 3, 4, 1, 2, 7, 0, 5),
    (7, 2, 1, 4, 3, 6, 5, 0),
)
ELEMENT = np.array(_K)[np.array(_ORDER)] / (1 - POISSON**2)


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedStrand:
    """A strand that works hard.

    Attributes:
        at: middle of its narrowest place, mm.
        share: part of the whole pull that it carries, 0 to 1.
        intensity: mean stress that passes through it there, against the mean stress of the uncut face.
        rank: 1 for the hardest; equals share one.
    """

    at: XY
    share: float
    intensity: float
    rank: int = 1


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Load:
    """A face under a pull.

    Attributes:
        stiffness: against the uncut face, 0 to 1.
        hardest: five strands, hardest first, and any that are as hard as the last.
        turn: degrees that the grid is turned by, about (0, 0); its x axis lies along the pull.
        left: left edge of the grid, mm, in turned coordinates.
        top: top edge.
        step: side of a cell, mm.
        share: leather in each cell, 0 to 1, `(rows, columns)`.
        stress: along, across and shear in each cell, against the mean stress of the uncut face,
            `(rows, columns, 3)`; 0 in holes.
    """

    stiffness: float
    hardest: tuple[WorkedStrand, ...]
    turn: float
    left: float
    top: float
    step: float
    share: FloatArray
    stress: FloatArray

    @property
    def along(self) -> FloatArray:
        """Unit vector of the pull."""
        turn = math.radians(-self.turn)
        return np.array([math.cos(turn), math.sin(turn)])

    @property
    def intensity(self) -> FloatArray:
        """Stress of each cell as one figure (von Mises), `(rows, columns)`."""
        x, y, s = self.stress[..., 0], self.stress[..., 1], self.stress[..., 2]
        return np.sqrt(np.maximum(x**2 - x * y + y**2 + 3 * s**2, 0))


@dataclass(frozen=True, slots=True, eq=False)
class _Pulled:
    force: float
    stress: FloatArray


def load(
    pattern: Pattern, *, pull: str, necks: Sequence[Neck] = (), step: float | None = None
) -> Load:
    """Pull a face and see what works hardest.

    Args:
        pattern: the finished face.
        pull: "long", "x", "y" or degrees from the x axis.
        necks: strands to rank.
        step: side of a cell, mm; chosen by the size of the piece when None.

    Raises:
        FiligreeError: `pull` is no direction.
    """
    unit = direction(pull, pattern.outline)
    turn = -float(np.degrees(np.arctan2(unit[1], unit[0])))
    outline = affinity.rotate(pattern.outline, turn, origin=(0, 0))
    land = affinity.rotate(pattern.land, turn, origin=(0, 0))
    size = step if step is not None else _step(outline)
    grid = _grid(outline, size)
    share = _share(land, grid)
    least = (grid.columns * grid.rows / WHOLE) ** 0.5
    uncut = _pulled(_share(outline, _grid(outline, grid.step * max(least, 1.0))))
    face = _pulled(share)
    mean_width = outline.area / (grid.columns * grid.step)
    nominal = uncut.force * grid.step / mean_width  # force on a cell
    found = Load(
        stiffness=face.force / uncut.force if uncut.force > 0 else 0.0,
        hardest=(),
        turn=turn,
        left=grid.left,
        top=grid.top,
        step=grid.step,
        share=share,
        stress=face.stress / nominal if nominal > 0 else face.stress,
    )
    return _ranked(found, land, necks, mean_width)


def load_of(pattern: Pattern, measures: Measures, *, use: Use, unasked: bool) -> Load | None:
    """Pull a face as its job says; where the job says nothing, only when `unasked` and quick."""
    if use.work == "always":
        return load(pattern, pull=use.pull, necks=_strands(measures))
    if use.work == "auto" and unasked:
        return quick_load(pattern, measures, pull=use.pull)
    return None


def quick_load(pattern: Pattern, measures: Measures, *, pull: str) -> Load | None:
    """Pull a face that nobody asked to pull, where that takes under 5 s.

    A grid of at most 60,000 cells must see a bridge, so the size of the piece decides and the same piece always
    gets the same answer. Where nothing is narrow the grid is coarser.

    Returns:
        None for a piece too large, or one with nothing cut out.
    """
    finest, coarsest = _step(pattern.outline), _step(pattern.outline, most=QUICK)
    if finest > SEES * measures.wanted or not pattern.openings:
        return None
    widths = [n.width for n in measures.necks] + [o.width for o in measures.openings]
    step = float(np.clip(SEES * min([*widths, measures.wanted]), finest, coarsest))
    return load(pattern, pull=pull, necks=_strands(measures), step=step)


def bonded(stiffness: float, *, face: float, behind: Sequence[float]) -> float:
    """Stiffness of a face with plies bonded behind it, against the same stack with an uncut face.

    The plies work side by side: each counts with modulus times thickness.

    >>> round(bonded(0.5, face=2.0, behind=[1.0, 1.0]), 3)
    0.75
    """
    return (stiffness * face + sum(behind)) / (face + sum(behind))


def _step(outline: Area, *, most: int = CELLS[1]) -> float:
    left, top, right, bottom = outline.bounds
    cells = (right - left) * (bottom - top) / STEP**2
    return STEP * float(np.sqrt(cells / np.clip(cells, CELLS[0], most)))


@dataclass(frozen=True, slots=True)
class _Grid:
    left: float
    top: float
    step: float
    columns: int
    rows: int


def _grid(outline: Area, step: float) -> _Grid:
    """Grid that ends with the outline along the pull, and lies even about its middle across it."""
    left, top, right, bottom = outline.bounds
    columns = max(2, round((right - left) / step))
    size = (right - left) / columns
    rows = max(2, int(np.ceil((bottom - top) / size - 1e-9)))
    return _Grid(left, (top + bottom - rows * size) / 2, size, columns, rows)


def _share(area: Area, grid: _Grid) -> FloatArray:
    return coverage(
        area,
        left=grid.left,
        top=grid.top,
        step=grid.step,
        columns=grid.columns,
        rows=grid.rows,
    )


def _pulled(share: FloatArray) -> _Pulled:
    """Stretch a grid by 1 along x; force of the reaction and stresses of the cells, both for modulus 1."""
    rows, columns = share.shape
    corner = np.arange((rows + 1) * (columns + 1)).reshape(rows + 1, columns + 1)
    nodes = np.stack([corner[:-1, :-1], corner[:-1, 1:], corner[1:, 1:], corner[1:, :-1]], axis=-1)
    held = _through(share, nodes, corner)
    stress = np.zeros((rows, columns, 3))
    if not held.any():
        return _Pulled(0.0, stress)
    cells, stiff = nodes[held], share[held] ** SOFT
    dof = np.stack([2 * cells, 2 * cells + 1], axis=-1).reshape(len(cells), 8)
    moved, force = _solved(dof, stiff, corner)
    stress[held] = _stresses(moved[dof]) * stiff[:, None]
    return _Pulled(force, stress)


def _through(
    share: FloatArray, nodes: IntArray, corner: IntArray
) -> "np.ndarray[tuple[int, int], np.dtype[np.bool_]]":
    """Cells of leather that hang together with both ends."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    full = share > EMPTY
    cells = nodes[full]
    pairs = np.concatenate([cells[:, [0, 1]], cells[:, [1, 2]], cells[:, [2, 3]]])
    graph = coo_matrix((np.ones(len(pairs)), pairs.T), shape=(corner.size, corner.size))
    _, part = connected_components(graph, directed=False)
    columns = corner.shape[1]
    near = max(1, round(END * columns))
    used = np.zeros(corner.size, dtype=bool)
    used[cells.ravel()] = True
    one = set(part[corner[:, : near + 1][used[corner[:, : near + 1]]]].tolist())
    other = set(part[corner[:, -near - 1 :][used[corner[:, -near - 1 :]]]].tolist())
    both = np.array(sorted(one & other), dtype=np.int64)
    held = full & np.isin(part[nodes[..., 0]], both)
    return np.asarray(held)


def _solved(dof: IntArray, stiff: FloatArray, corner: IntArray) -> tuple[FloatArray, float]:
    from scipy.sparse import coo_matrix
    from scipy.sparse.linalg import splu

    total = 2 * corner.size
    values = (stiff[:, None, None] * ELEMENT).ravel()
    at = (np.repeat(dof, 8, axis=1).ravel(), np.tile(dof, (1, 8)).ravel())
    matrix = coo_matrix((values, at), shape=(total, total)).tocsc()
    moved = np.zeros(total)
    used = np.zeros(total, dtype=bool)
    used[dof.ravel()] = True
    columns = corner.shape[1]
    near = max(1, round(END * columns)) if columns > 20 else 0
    start, end = 2 * corner[:, : near + 1].ravel(), 2 * corner[:, columns - near - 1 :].ravel()
    fixed = np.zeros(total, dtype=bool)
    fixed[start], fixed[end] = True, True
    moved[end] = 1.0
    fixed[2 * corner[:, 0][used[2 * corner[:, 0]]][:1] + 1] = True  # one node held across
    if not fixed[1::2].any():
        fixed[np.flatnonzero(used & (np.arange(total) % 2 == 1))[:1]] = True
    free = np.flatnonzero(used & ~fixed)
    known = np.flatnonzero(fixed & used)
    pushed = -(matrix[free][:, known] @ moved[known])
    factor = splu(
        matrix[free][:, free].tocsc(),
        permc_spec="MMD_AT_PLUS_A",
        diag_pivot_thresh=0.0,
        options={"SymmetricMode": True},
    )
    moved[free] = factor.solve(pushed)
    reaction = matrix[np.intersect1d(end, known)] @ moved
    return moved, float(reaction.sum())


def _stresses(moved: FloatArray) -> FloatArray:
    """Stress in the middle of cells of side 1 from their nodes' shifts, `(n, 8)` to `(n, 3)`."""
    u, v = moved[:, 0::2], moved[:, 1::2]
    ex = (u[:, 1] + u[:, 2] - u[:, 0] - u[:, 3]) / 2
    ey = (v[:, 3] + v[:, 2] - v[:, 0] - v[:, 1]) / 2
    shear = (u[:, 3] + u[:, 2] - u[:, 0] - u[:, 1] + v[:, 1] + v[:, 2] - v[:, 0] - v[:, 3]) / 2
    plane = 1 / (1 - POISSON**2)
    return np.stack(
        [
            plane * (ex + POISSON * ey),
            plane * (ey + POISSON * ex),
            shear / (2 * (1 + POISSON)),
        ],
        axis=1,
    )


def _ranked(found: Load, land: Area, necks: Sequence[Neck], mean_width: float) -> Load:
    """Rank strands by the mean stress across them; the share is the pull that crosses their narrowest place.

    Args:
        found: the load without its strands.
        land: the face, turned so that the pull runs along x.
        necks: the strands, not turned.
        mean_width: of the outline across the pull, mm.
    """
    if not necks:
        return found
    turned, of = mirrored(_turned(ends_of(necks), found.turn), land)
    ends = _turned(turned, -found.turn)
    share = (np.arange(ACROSS) + 0.5) / ACROSS
    points = turned[:, :1] + (turned[:, 1:] - turned[:, :1]) * share[None, :, None]
    x, y = ((points[..., k] - start) / found.step for k, start in ((0, found.left), (1, found.top)))
    stress, leather = sampled(found.stress, found.share, x, y)
    weight = np.maximum(leather, 1e-9).sum(axis=1)
    across = turned[:, 1] - turned[:, 0]
    width = np.hypot(*across.T)
    normal = np.c_[across[:, 1], -across[:, 0]] / np.maximum(width, 1e-12)[:, None]
    pulled, sheared = _through_line(stress, normal)
    intensity = np.sqrt(pulled**2 + 3 * sheared**2).sum(axis=1) / weight
    mean = stress.sum(axis=1) / weight[:, None]
    along = mean[:, 0] * normal[:, 0] + mean[:, 2] * normal[:, 1]
    carried = np.abs(along) * width / mean_width
    whole = found.stiffness if found.stiffness > 0 else 1.0
    middles = ends.mean(axis=1)
    intensity = np.round(levelled(intensity, of), 9)
    carried = levelled(carried, of)
    order = hardest(middles, width, intensity)
    strands = tuple(
        WorkedStrand(
            at=(float(middles[k, 0]), float(middles[k, 1])),
            share=min(float(carried[k]) / whole, 1.0),
            intensity=float(intensity[k]),
            rank=rank,
        )
        for k, rank in zip(order, ranks(intensity[order].tolist()), strict=True)
    )
    return replace(found, hardest=strands)


def _turned(ends: FloatArray, degrees: float) -> FloatArray:
    """Turn starts and ends about the origin, `(n, 2, 2)`."""
    points = affinity.rotate(shapely.MultiPoint(ends.reshape(-1, 2)), degrees, origin=(0, 0))
    return np.asarray(shapely.get_coordinates(points)).reshape(-1, 2, 2)


def _through_line(stress: FloatArray, normal: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Stress that passes through lines, straight and sideways; what runs along a line pulls at no strand there."""
    x, y, s = (stress[..., k] for k in range(3))
    nx, ny = normal[:, :1], normal[:, 1:]
    tx, ty = x * nx + s * ny, s * nx + y * ny
    return tx * nx + ty * ny, ty * nx - tx * ny


def _strands(measures: Measures) -> tuple[Neck, ...]:
    """Strands to rank: the necks, and all that the weakest way across runs through, however wide."""
    gaps = measures.section.gaps if measures.section is not None else ()
    wide = (
        Neck(width=math.dist(a, b), start=a, end=b, between=(EDGE, EDGE))
        for a, b in gaps
        if math.dist(a, b) > 0
    )
    return (*measures.necks, *wide)
