"""Source curves, kept beside their flattened chords so that untouched runs can be written as drawn."""

from dataclasses import dataclass

from filigree.geometry.types import FloatArray, IntArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CurveTable:
    """Curved source pieces and the chords they were flattened to; straight pieces are not held.

    Attributes:
        cubics: control points of the source curves, mm, shape `(m, 4, 2)`.
        starts: start of each chord, shape `(k, 2)`; the exact floats that went into the lines.
        ends: end of each chord, shape `(k, 2)`.
        curve: index into `cubics` of each chord, shape `(k,)`.
        spans: parameters `(t0, t1)` of each chord on its cubic, shape `(k, 2)`.
    """

    cubics: FloatArray
    starts: FloatArray
    ends: FloatArray
    curve: IntArray
    spans: FloatArray
