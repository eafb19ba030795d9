"""Traces: the subpaths of drawn elements, gathered as plain numbers while the document is walked."""

from dataclasses import dataclass, field

import numpy as np

from filigree.drawing.transform import Box
from filigree.geometry.types import XY, BoolArray, FloatArray, IntArray


@dataclass(slots=True)
class Pen:
    """Gathers pieces of one drawing in user units; the only thing in this room that grows.

    Attributes:
        numbers: eight a piece: its four control points. Inner points of a straight one are filled in later.
        straight: one a piece.
        firsts: index of the first piece of each subpath.
        closed: one a subpath.
        joints: indexes of pieces that go on within one arc: where they begin is no vertex.
        at: where the pen stands.
    """

    numbers: list[float] = field(default_factory=list)
    straight: list[bool] = field(default_factory=list)
    firsts: list[int] = field(default_factory=list)
    closed: list[bool] = field(default_factory=list)
    joints: set[int] = field(default_factory=set)
    at: XY = (0.0, 0.0)

    def move(self, point: XY) -> None:
        """Start a subpath."""
        self.firsts.append(len(self.straight))
        self.closed.append(False)
        self.at = point

    def line(self, point: XY) -> None:
        """Draw a straight piece."""
        self.numbers += (*self.at, 0.0, 0.0, 0.0, 0.0, *point)
        self.straight.append(True)
        self.at = point

    def lines(self, values: list[float]) -> None:
        """Draw a subpath of straight pieces through points, x and y in turn."""
        self.move((values[0], values[1]))
        for k in range(2, len(values), 2):
            self.numbers += (
                values[k - 2],
                values[k - 1],
                0.0,
                0.0,
                0.0,
                0.0,
                values[k],
                values[k + 1],
            )
        self.straight += [True] * (len(values) // 2 - 1)
        self.at = (values[-2], values[-1])

    def curve(self, first: XY, second: XY, point: XY) -> None:
        """Draw a cubic."""
        self.numbers += (*self.at, *first, *second, *point)
        self.straight.append(False)
        self.at = point

    def arc(self, cubics: FloatArray) -> None:
        """Draw the cubics of one arc, which start where the pen stands."""
        if len(cubics):
            first = len(self.straight)
            self.joints.update(range(first + 1, first + len(cubics)))
            self.numbers += cubics.ravel().tolist()
            self.straight += [False] * len(cubics)
            self.at = (float(cubics[-1, 3, 0]), float(cubics[-1, 3, 1]))

    def close(self, start: XY) -> None:
        """Close the subpath that began at `start`."""
        if self.at != start:
            self.line(start)
        self.closed[-1] = True


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Trace:
    """Every subpath of a drawing.

    Attributes:
        cubics: control points, shape `(m, 4, 2)`; a straight piece has its inner points at the thirds.
        straight: shape `(m,)`.
        firsts: index of the first piece of each subpath and, last, m; shape `(s + 1,)`.
        closed: shape `(s,)`.
    """

    cubics: FloatArray
    straight: BoolArray
    firsts: IntArray
    closed: BoolArray


def trace(pen: Pen) -> Trace:
    """Put what a pen drew into arrays."""
    cubics = np.array(pen.numbers, dtype=np.float64).reshape(-1, 4, 2)
    straight = np.array(pen.straight, dtype=bool)
    return Trace(
        cubics=with_thirds(cubics, straight),
        straight=straight,
        firsts=np.array([*pen.firsts, len(straight)], dtype=np.int64),
        closed=np.array(pen.closed, dtype=bool),
    )


def cubics_between(pen: Pen, first: int, last: int) -> FloatArray:
    """Some pieces of a pen, user units, `(m, 4, 2)`; inner points of straight ones lie on the ends."""
    cubics = np.array(pen.numbers[first * 8 : last * 8]).reshape(-1, 4, 2)
    straight = np.array(pen.straight[first:last], dtype=bool)
    cubics[straight, 1] = cubics[straight, 0]
    cubics[straight, 2] = cubics[straight, 3]
    return cubics


def with_thirds(cubics: FloatArray, straight: BoolArray) -> FloatArray:
    """Put the inner points of straight pieces on the thirds of their chords."""
    start, end = cubics[straight, 0], cubics[straight, 3]
    with np.errstate(over="ignore", invalid="ignore"):  # the reader looks for what is not finite
        cubics[straight, 1] = (2 * start + end) / 3
        cubics[straight, 2] = (start + 2 * end) / 3
    return cubics


def moved(cubics: FloatArray, matrices: FloatArray) -> FloatArray:
    """Transform each piece by its own matrix.

    Args:
        cubics: shape `(m, 4, 2)`.
        matrices: shape `(m, 6)` or `(6,)`, in the order of `Matrix`.
    """
    a, b, c, d, e, f = np.moveaxis(np.asarray(matrices, dtype=np.float64), -1, 0)[..., None]
    x, y = cubics[..., 0], cubics[..., 1]
    with np.errstate(over="ignore", invalid="ignore"):  # the reader looks for what is not finite
        return np.stack([a * x + c * y + e, b * x + d * y + f], axis=-1)


def curve_box(cubics: FloatArray) -> Box | None:
    """Exact bounding box of cubics, `(m, 4, 2)`; None for none."""
    if not len(cubics):
        return None
    p0, p1, p2, p3 = np.moveaxis(cubics, 1, 0)
    a, b, c = p3 - 3 * p2 + 3 * p1 - p0, 2 * (p2 - 2 * p1 + p0), p1 - p0
    with np.errstate(divide="ignore", invalid="ignore"):
        root = np.sqrt(b * b - 4 * a * c)
        q = -(b + np.where(b >= 0, root, -root)) / 2
        turns = np.stack([q / a, c / q])
    t = np.where(np.isfinite(turns) & (turns > 0) & (turns < 1), turns, 0.0)
    at = (1 - t) ** 3 * p0 + 3 * (1 - t) ** 2 * t * p1 + 3 * (1 - t) * t * t * p2 + t**3 * p3
    every = np.concatenate([at.reshape(-1, 2), p0, p3])
    (x, y), (right, low) = every.min(axis=0).tolist(), every.max(axis=0).tolist()
    return (x, y, right - x, low - y)
