"""Transforms of SVG: reading `transform` attributes, and fitting a view box into a viewport."""

import math
import re
from collections.abc import Sequence

from filigree.drawing.numbers import length, number_list
from filigree.geometry.types import XY

Matrix = tuple[float, float, float, float, float, float]
"""`(a, b, c, d, e, f)`: x' = a x + c y + e, y' = b x + d y + f."""

Box = tuple[float, float, float, float]
"""`(x, y, width, height)`."""

IDENTITY: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
CALL = re.compile(r"\s*+(?:,\s*+)?+([A-Za-z]++)\s*+\(([^()]*+)\)")
ANGLE = re.compile(r"(?<![-+.\deE])([-+.\deE]++)\s*+(deg|grad|rad|turn)")
MEASURED = re.compile(r"%|[a-z]{2}")
PIXELS = re.compile(r"(?<=[\d.])px\b")
ANGLES = {"deg": 1.0, "grad": 0.9, "rad": 180 / math.pi, "turn": 360.0}
ALIGN = re.compile(r"\s*(?:defer\s+)?(none|x(Min|Mid|Max)Y(Min|Mid|Max))(?:\s+(meet|slice))?\s*\Z")
SIDES = {"left": "0%", "top": "0%", "center": "50%", "right": "100%", "bottom": "100%"}
SHARE = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}


def compose(outer: Matrix, inner: Matrix) -> Matrix:
    """Apply `inner` first, then `outer`.

    >>> compose((1, 0, 0, 1, 10, 0), (2, 0, 0, 2, 0, 0))
    (2, 0, 0, 2, 10, 0)
    """
    a, b, c, d, e, f = outer
    g, h, i, j, k, m = inner
    return (
        a * g + c * h,
        b * g + d * h,
        a * i + c * j,
        b * i + d * j,
        a * k + c * m + e,
        b * k + d * m + f,
    )


def apply(matrix: Matrix, point: XY) -> XY:
    """Move one point.

    >>> apply(read_transform("translate(10,0) scale(2)"), (1, 1))
    (12.0, 2.0)
    """
    a, b, c, d, e, f = matrix
    x, y = point
    return (a * x + c * y + e, b * x + d * y + f)


def inverse(matrix: Matrix) -> Matrix | None:
    """Transform back; None where a transform leaves no area.

    >>> inverse((2, 0, 0, 4, 10, 0))
    (0.5, 0.0, 0.0, 0.25, -5.0, 0.0)
    """
    a, b, c, d, e, f = matrix
    size = a * d - b * c
    if size == 0 or not math.isfinite(1 / size):
        return None
    return (
        d / size,
        (0.0 - b) / size,
        (0.0 - c) / size,
        a / size,
        (c * f - d * e) / size,
        (b * e - a * f) / size,
    )


def mean_scale(matrix: Matrix) -> float:
    """Factor by which lengths grow on average: the root of the change of area."""
    return math.sqrt(abs(matrix[0] * matrix[3] - matrix[1] * matrix[2]))


def is_even(matrix: Matrix) -> bool:
    """Say whether circles stay circles."""
    a, b, c, d, _, _ = matrix
    size = a * a + b * b + c * c + d * d
    return math.hypot(a * c + b * d, (a * a + b * b - c * c - d * d) / 2) <= 1e-6 * size


def read_transform(text: str, size: XY = (0.0, 0.0)) -> Matrix:
    """Read a `transform` attribute or property.

    Args:
        text: as written.
        size: width and height that percentages of a move refer to.

    Raises:
        ValueError: it is not a list of transforms.
    """
    text = text.strip()
    if text in {"", "none"}:
        return IDENTITY
    matrix, at = IDENTITY, 0
    while at < len(text):
        call = CALL.match(text, at)
        if not call:
            raise ValueError(f"transform not understood: {text[:60]}")
        matrix, at = compose(matrix, _one(call[1], _values(call[1], call[2], size))), call.end()
    if not all(map(math.isfinite, matrix)):
        raise ValueError("transform is not finite")
    return matrix


def read_translate(text: str, size: XY) -> Matrix:
    """Read a `translate` property: one or two lengths, the third left out.

    Raises:
        ValueError: it is none.
    """
    words = text.split()[:2]
    return read_transform(f"translate({' '.join(words)})" if words and text != "none" else "", size)


def read_rotate(text: str) -> Matrix:
    """Read a `rotate` property: an angle, about the axis that points at the eye.

    Raises:
        ValueError: it is none, or about another axis.
    """
    words = [word for word in text.split() if word != "z"]
    return read_transform(f"rotate({' '.join(words)})" if words and text != "none" else "")


def read_scale(text: str) -> Matrix:
    """Read a `scale` property: one or two factors or percentages.

    Raises:
        ValueError: it is none.
    """
    words = [repr(length(word, whole=1.0)) for word in text.split()[:2] if text != "none"]
    return read_transform(f"scale({' '.join(words)})" if words else "")


def read_angle(text: str) -> float:
    """Read an angle in degrees.

    Raises:
        ValueError: it is none.

    >>> read_angle("0.25turn"), read_angle("-30")
    (90.0, -30.0)
    """
    (degrees,) = number_list(ANGLE.sub(_in_degrees, text))
    return degrees


def about_origin(matrix: Matrix, origin: str, box: Box) -> Matrix:
    """Apply a transform about its `transform-origin` (CSS Transforms 1, 4), user units.

    Args:
        matrix: the transform.
        origin: one or two lengths, percentages of the box or names of its sides.
        box: of the viewport or of the element.

    Raises:
        ValueError: the origin is none of these.
    """
    words = [*origin.replace(",", " ").lower().split(), "center"][:2]
    if words[0] in {"top", "bottom"} or words[1] in {"left", "right"}:
        words.reverse()
    x, y = (
        start + length(SIDES.get(word, word), whole=whole)
        for word, start, whole in zip(words, box[:2], box[2:], strict=True)
    )
    if x == y == 0:
        return matrix
    moved = compose((1.0, 0.0, 0.0, 1.0, x, y), matrix)
    return compose(moved, (1.0, 0.0, 0.0, 1.0, -x, -y))


def _values(name: str, text: str, size: XY) -> list[float]:
    if name.startswith("translate") and MEASURED.search(text):
        words = text.replace(",", " ").split()
        wholes = (size[1],) if name == "translateY" else size
        return [length(word, whole=whole) for word, whole in zip(words, wholes, strict=False)]
    text = PIXELS.sub("", text)
    return number_list(ANGLE.sub(_in_degrees, text))


def _in_degrees(found: re.Match[str]) -> str:
    return repr(float(found[1]) * ANGLES[found[2]])


def _one(name: str, v: Sequence[float]) -> Matrix:
    match name, len(v):
        case "matrix", 6:
            return (v[0], v[1], v[2], v[3], v[4], v[5])
        case ("translate", 1) | ("translateX", 1):
            return (1, 0, 0, 1, v[0], 0)
        case "translate", 2:
            return (1, 0, 0, 1, v[0], v[1])
        case "translateY", 1:
            return (1, 0, 0, 1, 0, v[0])
        case "scale", 1:
            return (v[0], 0, 0, v[0], 0, 0)
        case "scale", 2:
            return (v[0], 0, 0, v[1], 0, 0)
        case "rotate", 1 | 3:
            cos, sin = math.cos(math.radians(v[0])), math.sin(math.radians(v[0]))
            x, y = v[1:] if len(v) == 3 else (0.0, 0.0)
            return (cos, sin, -sin, cos, x - cos * x + sin * y, y - sin * x - cos * y)
        case "skewX", 1:
            return (1, 0, math.tan(math.radians(v[0])), 1, 0, 0)
        case "skewY", 1:
            return (1, math.tan(math.radians(v[0])), 0, 1, 0, 0)
    raise ValueError(f"transform {name} with {len(v)} numbers is not known")


def read_view_box(text: str | None) -> Box | None:
    """Read a `viewBox`; None when there is none, or it is not four numbers with a size above 0."""
    try:
        values = number_list(text or "")
    except ValueError:
        return None
    if len(values) != 4 or not all(map(math.isfinite, values)) or min(values[2:]) <= 0:
        return None
    return (values[0], values[1], values[2], values[3])


def fit(view_box: Box, width: float, height: float, aspect: str | None = None) -> Matrix:
    """Map a view box into a viewport at the origin (SVG 2, 8.6 and 8.7).

    >>> fit((0, 0, 200, 200), 100, 50)
    (0.25, 0.0, 0.0, 0.25, 25.0, 0.0)
    >>> fit((0, 0, 200, 200), 100, 50, "xMidYMid slice")
    (0.5, 0.0, 0.0, 0.5, 0.0, -25.0)
    """
    x, y, wide, high = view_box
    scale_x, scale_y = width / wide, height / high
    align = ALIGN.match(aspect or "")
    share_x = share_y = 0.5
    if align and align[1] != "none":
        share_x, share_y = SHARE[align[2]], SHARE[align[3]]
    if not (align and align[1] == "none"):
        pick = max if align and align[4] == "slice" else min
        scale_x = scale_y = pick(scale_x, scale_y)
    left = (width - wide * scale_x) * share_x - x * scale_x
    top = (height - high * scale_y) * share_y - y * scale_y
    return (scale_x, 0.0, 0.0, scale_y, left, top)
