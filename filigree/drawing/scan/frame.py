"""Frame: from the pixels of a picture to millimetres of the page, and back.

A picture's point is first freed of the lens's bow, `r_straight = r (1 + bow r^2)` about the middle with the
half diagonal as 1 (one-term radial model, D. C. Brown 1966), then sent through a homography. A scan's is a mere
scaling.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from filigree.geometry.types import FloatArray

ROUNDS = 12  # of the fixed-point search for a bowed point


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Frame:
    """Where pixels lie on the page.

    Attributes:
        pixels: width and height of the picture.
        matrix: homography from straight pixels to mm, `(3, 3)`.
        bow: radial term; 0 for a scan.
        width: page width, mm.
        height: page height, mm.
        scale_from: where the scale came from, in words.
    """

    pixels: tuple[int, int]
    matrix: FloatArray
    width: float
    height: float
    scale_from: str
    bow: float = 0.0

    @property
    def per_mm(self) -> float:
        """Pixels to a mm at the middle of the page."""
        middle = self.to_pixels(np.array([[self.width / 2, self.height / 2]]))
        near = self.to_mm(middle + np.array([[-2.0, 0], [2, 0], [0, -2], [0, 2]]))
        (a, b), (c, d) = (near[1] - near[0]).tolist(), (near[3] - near[2]).tolist()
        return 4 / math.sqrt(abs(a * d - b * c))

    def to_mm(self, points: FloatArray) -> FloatArray:
        """Millimetres of points given with pixel centres at whole numbers, `(n, 2)`."""
        return through(self.matrix, straightened(points + 0.5, self.pixels, self.bow))

    def to_pixels(self, points: FloatArray) -> FloatArray:
        """Pixels, centres at whole numbers, of points in mm, `(n, 2)`."""
        straight = through(np.asarray(np.linalg.inv(self.matrix), np.float64), points)
        return bowed(straight, self.pixels, self.bow) - 0.5

    def then(self, matrix: FloatArray) -> "Frame":
        """The frame followed by an affine change of the page."""
        return replace(self, matrix=matrix @ self.matrix)


def through(matrix: FloatArray, points: FloatArray) -> FloatArray:
    """Points sent through a homography, `(n, 2)`.

    >>> seen = homography(np.array([[0, 0], [1, 0], [1, 1], [0, 1.0]]),
    ...                   np.array([[0, 0], [2, 0], [1.5, 1], [0.5, 1.0]]))
    >>> through(seen, np.array([[0.5, 0.5]])).round(9).tolist()
    [[1.0, 0.666666667]]
    """
    x, y = points[:, 0], points[:, 1]
    under = matrix[2, 0] * x + matrix[2, 1] * y + matrix[2, 2]
    return np.column_stack(
        [
            (matrix[0, 0] * x + matrix[0, 1] * y + matrix[0, 2]) / under,
            (matrix[1, 0] * x + matrix[1, 1] * y + matrix[1, 2]) / under,
        ]
    )


def homography(source: FloatArray, target: FloatArray) -> FloatArray:
    """The homography that sends four points exactly onto four others, `(3, 3)`.

    Eight equations for eight unknowns, the last entry being 1 (Hartley and Zisserman 2004, section 4.1).
    """
    centre = source.mean(0)
    size = max(float(np.abs(source - centre).max()), 1e-12)
    p = (source - centre) / size
    rows, right = [], []
    for (x, y), (u, v) in zip(p, target, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    solved = np.append(np.linalg.solve(np.array(rows), np.array(right)), 1).reshape(3, 3)
    to_unit = np.array(
        [[1 / size, 0, -centre[0] / size], [0, 1 / size, -centre[1] / size], [0, 0, 1]]
    )
    return np.asarray(solved @ to_unit)


def straightened(points: FloatArray, pixels: tuple[int, int], bow: float) -> FloatArray:
    """Points freed of the lens's bow, `(n, 2)`."""
    if not bow:
        return points
    middle, radius = _lens(pixels)
    off = (points - middle) / radius
    return np.asarray(middle + radius * off * (1 + bow * (off * off).sum(1))[:, None])


def bowed(points: FloatArray, pixels: tuple[int, int], bow: float) -> FloatArray:
    """Where the lens puts straight points, `(n, 2)`."""
    if not bow:
        return points
    middle, radius = _lens(pixels)
    straight = (points - middle) / radius
    off = straight
    for _ in range(ROUNDS):
        off = straight / (1 + bow * (off * off).sum(1))[:, None]
    return np.asarray(middle + radius * off)


def _lens(pixels: tuple[int, int]) -> tuple[FloatArray, float]:
    middle = np.array(pixels) / 2
    return middle, float(np.hypot(*middle))


def turn_about(degrees: float, x: float, y: float) -> FloatArray:
    """Affine matrix of a turn about a point, `(3, 3)`."""
    a = np.radians(degrees)
    c, s = np.cos(a), np.sin(a)
    return np.array([[c, -s, x - c * x + s * y], [s, c, y - s * x - c * y], [0, 0, 1]])


def mirror(width: float) -> FloatArray:
    """Affine matrix that exchanges left and right of a page, `(3, 3)`."""
    return np.array([[-1.0, 0, width], [0, 1, 0], [0, 0, 1]])
