"""Fitted: strokes in mm as few cubics, sharing their meeting points exactly."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from filigree.drawing.scan.ruled import ON, with_straights
from filigree.geometry.bezier import lines_as_cubics, parts_of
from filigree.geometry.curves import CurveTable
from filigree.geometry.fit import fit_all
from filigree.geometry.flatten import flatten
from filigree.geometry.path import Path
from filigree.geometry.types import BoolArray, FloatArray, IntArray

STRAIGHT = 0.018  # mm: a stroke that leaves its chord by less is ruled
CORNER = 60.0  # degrees; true corners end a stroke, so only a spike is left to find
CHORD = 0.005  # mm, of the flattened curve
FINE = 0.05  # mm between points the bend is read from
BEND_OVER = 0.4  # mm to each side over which the bend is read
SAGITTA = 0.004  # mm by which a bend may leave the chord between two points given to the fit
SPACING = (0.12, 0.7)  # mm between those points
BEND = 2.0  # mm at the end of a straight line that go to a joint beside it
MANY, SOME = np.linspace(0, 1, 33), np.linspace(0, 1, 17)  # parameters of a cubic that are tried


def fit_lines(
    lines: Sequence[FloatArray], ends_on: Sequence[FloatArray], *, tolerance: float
) -> list[Path]:
    """Fit every line; ends that lie on another line lie on its fitted curve, as a joint of it.

    Args:
        lines: polylines, mm; closed ones repeat their first point.
        ends_on: for each line the points at which other lines end on it, `(k, 2)`.
        tolerance: mm by which the fitted curve may leave the line.
    """
    drawn = with_straights(lines, ends_on)
    ruled = [
        _ruled(_spaced(line)) if not len(edges) else _parted(line, edges)
        for line, edges in zip(drawn.lines, drawn.edges, strict=True)
    ]
    closed = [len(line) > 3 and bool((line[0] == line[-1]).all()) for line in ruled]
    bent = [k for k, line in enumerate(ruled) if len(line) > 2]
    fitted = fit_all(
        [ruled[k] for k in bent], [closed[k] for k in bent], tolerance=tolerance, corner=CORNER
    )
    curves = dict(zip(bent, fitted, strict=True))
    whole = [curves[k] if k in curves else _straight(line) for k, line in enumerate(ruled)]
    moved: dict[tuple[float, float], FloatArray] = {}
    for k, points in enumerate(drawn.ends_on):
        for point in points:
            if _is_end(whole[k], point):
                continue
            whole[k], joint = _with_joint(whole[k], point)
            moved[tuple(point.tolist())] = joint
    return [_ends_moved(path, moved) for path in whole]


def _parted(line: FloatArray, edges: IntArray) -> FloatArray:
    """A line with straight edges: only what lies between them is spaced."""
    out, last = [line[:1]], 0
    for edge in edges.tolist():
        out += [_spaced(line[last : edge + 1])[1:], line[edge + 1 : edge + 2]]
        last = edge + 1
    return np.vstack([*out, _spaced(line[last:])[1:]])


def _spaced(line: FloatArray) -> FloatArray:
    """Points as far apart as the bend allows, so that a fit reads directions over more than noise."""
    step = np.hypot(*np.diff(line, axis=0).T)
    walked = np.append(0.0, np.cumsum(step))
    if walked[-1] < 4 * SPACING[0]:
        return line
    even_at = np.linspace(0, walked[-1], max(5, round(walked[-1] / FINE)))
    even = np.column_stack([np.interp(even_at, walked, line[:, c]) for c in (0, 1)])
    k = max(1, min(round(BEND_OVER / FINE), (len(even) - 1) // 2))
    bend = np.zeros(len(even))
    bend[k:-k] = np.hypot(*(even[2 * k :] - 2 * even[k:-k] + even[: -2 * k]).T) / (k * FINE) ** 2
    bend[:k], bend[-k:] = bend[k], bend[-k - 1]
    apart = np.clip(np.sqrt(8 * SAGITTA / np.maximum(bend, 1e-9)), *SPACING)
    count = np.append(0.0, np.cumsum(FINE / (apart[1:] + apart[:-1]) * 2))
    wanted = np.linspace(0, count[-1], max(4, round(count[-1]) + 1))
    at = np.interp(wanted, count, even_at)
    out = np.column_stack([np.interp(at, walked, line[:, c]) for c in (0, 1)])
    out[0], out[-1] = line[0], line[-1]
    return out


def _straight(line: FloatArray) -> Path:
    return Path(
        cubics=lines_as_cubics(line[:1], line[1:2]), straight=np.ones(1, bool), closed=False
    )


def _ruled(line: FloatArray) -> FloatArray:
    """The two ends alone when the line is straight between them."""
    keep = np.append(True, np.any(np.diff(line, axis=0) != 0, axis=1))
    line = line[keep]
    chord = line[-1] - line[0]
    size = float(np.hypot(*chord))
    if size == 0:
        return line
    off = np.abs((line - line[0]) @ np.array([-chord[1], chord[0]])) / size
    return line[[0, -1]] if off.max() < STRAIGHT else line


def _is_end(path: Path, point: FloatArray) -> bool:
    return bool((path.cubics[0, 0] == point).all() or (path.cubics[-1, 3] == point).all())


def _with_joint(path: Path, point: FloatArray) -> tuple[Path, FloatArray]:
    """Cut the path where it is nearest to `point`; the cut is its joint."""
    sampled = _along(path.cubics, MANY)
    away = ((sampled - point) ** 2).sum(2)
    k, i = divmod(int(np.argmin(away)), len(MANY))
    cubic = path.cubics[k : k + 1]
    at = _nearest(cubic, point, float(MANY[max(0, i - 1)]), float(MANY[min(len(MANY) - 1, i + 1)]))
    if at < 1e-6 or at > 1 - 1e-6:
        return path, np.asarray(path.cubics[k, 0 if at < 0.5 else 3])
    halves = parts_of(np.repeat(cubic, 2, axis=0), np.array([0, at]), np.array([at, 1]))
    halves[0, 0], halves[1, 3] = cubic[0, 0], cubic[0, 3]
    halves[1, 0] = halves[0, 3]
    cubics = np.concatenate([path.cubics[:k], halves, path.cubics[k + 1 :]])
    straight = np.insert(path.straight, k, path.straight[k])
    return Path(cubics=cubics, straight=straight, closed=path.closed), np.asarray(halves[0, 3])


def _along(cubics: FloatArray, t: FloatArray) -> FloatArray:
    """Points of every cubic at the same parameters, `(n, len(t), 2)`."""
    u = 1 - t
    terms = np.array([u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t])
    return np.asarray(terms.T @ cubics)


def _nearest(cubic: FloatArray, point: FloatArray, low: float, high: float) -> float:
    """Parameter of the nearest point between two parameters, looked for finer and finer."""
    for _ in range(4):
        t = low + (high - low) * SOME
        off = _along(cubic, t)[0] - point
        k = int((off * off).sum(1).argmin())
        low, high = float(t[max(0, k - 1)]), float(t[min(len(t) - 1, k + 1)])
    return (low + high) / 2


def _ends_moved(path: Path, moved: dict[tuple[float, float], FloatArray]) -> Path:
    """The path with its ends on the joints they were meant for; a straight end goes there by a bend at its last."""
    cubics, ruled = path.cubics.copy(), path.straight.copy()
    first, last = (moved.get(_key(p)) for p in (path.cubics[0, 0], path.cubics[-1, 3]))
    if last is not None:
        cubics, ruled = _end_moved(cubics, ruled, last)
    if first is not None:
        cubics, ruled = _end_moved(cubics[::-1, ::-1], ruled[::-1], first)
        cubics, ruled = cubics[::-1, ::-1].copy(), ruled[::-1].copy()
    step = (cubics[ruled, 3] - cubics[ruled, 0]) / 3
    cubics[ruled, 1], cubics[ruled, 2] = cubics[ruled, 0] + step, cubics[ruled, 0] + 2 * step
    return Path(cubics=cubics, straight=ruled, closed=path.closed)


def _end_moved(
    cubics: FloatArray, ruled: BoolArray, joint: FloatArray
) -> tuple[FloatArray, BoolArray]:
    """Pieces of a path that is to end on `joint`, and which of them are straight."""
    cubics = cubics.copy()
    start, end = cubics[-1, 0], cubics[-1, 3].copy()
    by, chord = joint - end, end - start
    size = float(np.hypot(*chord))
    if ruled[-1] and size > 2 * BEND and abs(chord[0] * by[1] - chord[1] * by[0]) > ON * size:
        spot = end - chord * (BEND / size)
        bend = spot + (end - spot) * np.array([0, 1, 2, 3])[:, None] / 3
        cubics[-1, 3] = spot
        cubics = np.concatenate([cubics, bend[None]])
        ruled = np.append(ruled, np.False_)
    cubics[-1, 2] += by
    cubics[-1, 3] = joint
    return cubics, ruled


def flat_lines(paths: Sequence[Path]) -> tuple[tuple[FloatArray, ...], CurveTable]:
    """Flatten the paths; also their curves, chord by chord."""
    if not paths:
        return (), CurveTable(
            cubics=np.zeros((0, 4, 2)), starts=np.zeros((0, 2)), ends=np.zeros((0, 2)),
            curve=np.zeros(0, np.int64), spans=np.zeros((0, 2)),
        )  # fmt: skip
    cubics = np.concatenate([p.cubics for p in paths])
    straight = np.concatenate([p.straight for p in paths])
    chords = flatten(cubics, straight, CHORD)
    first = np.concatenate([[0], np.cumsum([len(p.cubics) for p in paths])])
    cut = np.searchsorted(chords.piece, first)
    lines = tuple(
        np.vstack([chords.starts[a : a + 1], chords.ends[a:b]]) for a, b in pairwise(cut.tolist())
    )
    curved = ~straight[chords.piece]
    number = np.cumsum(~straight) - 1
    table = CurveTable(
        cubics=cubics[~straight],
        starts=chords.starts[curved],
        ends=chords.ends[curved],
        curve=number[chords.piece[curved]].astype(np.int64),
        spans=chords.spans[curved],
    )
    return lines, table


def chained(paths: Sequence[Path]) -> list[Path]:
    """Paths joined where exactly two of them end, so that a ring with corners is one closed path."""
    ends: dict[tuple[float, float], list[tuple[int, int]]] = {}
    for k, path in enumerate(paths):
        if not path.closed:
            ends.setdefault(_key(path.cubics[0, 0]), []).append((k, 0))
            ends.setdefault(_key(path.cubics[-1, 3]), []).append((k, 1))
    mate = {}
    for there in ends.values():
        if len(there) == 2:
            mate[there[0]], mate[there[1]] = there[1], there[0]
    done = [False] * len(paths)
    starts = [(k, s) for k in range(len(paths)) for s in (0, 1) if (k, s) not in mate]
    order = [*starts, *((k, 0) for k in range(len(paths)))]
    return [_chain(paths, mate, start, done) for start in order if not done[start[0]]]


def _chain(
    paths: Sequence[Path],
    mate: dict[tuple[int, int], tuple[int, int]],
    start: tuple[int, int],
    done: list[bool],
) -> Path:
    cubics, straight, now = [], [], start
    while not done[now[0]]:
        k, side = now
        done[k] = True
        path = paths[k]
        cubics.append(path.cubics if side == 0 else path.cubics[::-1, ::-1])
        straight.append(path.straight if side == 0 else path.straight[::-1])
        if path.closed or (k, 1 - side) not in mate:
            break
        now = mate[(k, 1 - side)]
    whole = np.concatenate(cubics)
    shut = bool((whole[0, 0] == whole[-1, 3]).all())
    return Path(cubics=whole, straight=np.concatenate(straight), closed=shut)


def _key(point: FloatArray) -> tuple[float, float]:
    return (float(point[0]), float(point[1]))
