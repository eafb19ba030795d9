"""Path: a run of cubic Béziers and straight pieces, as it is read and as it is written."""

from dataclasses import dataclass

from filigree.geometry.types import BoolArray, FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Path:
    """One connected line, mm.

    Attributes:
        cubics: control points, shape `(n, 4, 2)`; piece k + 1 starts where piece k ends. A straight
            piece has its two inner points at the thirds of its chord.
        straight: shape `(n,)`, True where a piece is a straight line.
        closed: True when the last piece ends where the first one starts.
    """

    cubics: FloatArray
    straight: BoolArray
    closed: bool
