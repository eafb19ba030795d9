"""Crossing: bridges that the maker draws by hand across openings, as leather that was never cut."""

import math
from collections.abc import Sequence

import numpy as np
import shapely
from shapely import LineString, Polygon

from filigree.errors import FiligreeError
from filigree.geometry.types import XY, Area, FloatArray
from filigree.job import Bridge
from filigree.mend.land import settled, with_parts
from filigree.mend.ties import shaped
from filigree.pattern import Opening, Pattern, as_area

SHORT = 1e-3  # mm: less of a drawn bridge inside an opening is a touch


def bridged(
    pattern: Pattern, bridges: Sequence[Bridge], *, width: float, first_free: int
) -> Pattern:
    """Leave a strip of leather across every opening that a drawn bridge enters.

    A bridge runs on along its line to the leather on both sides, so it may be drawn a little short. Where it
    joins the leather it has hollows, as ties have.

    Args:
        pattern: the face as drawn.
        bridges: entries of `[[bridge]]`.
        width: of a bridge that names none, mm.
        first_free: lowest number that no field of the drawing has, for openings that are parted.

    Raises:
        FiligreeError: a bridge crosses no opening.
    """
    drawn = pattern
    for number, bridge in enumerate(bridges, start=1):
        parts: dict[int, tuple[Polygon, ...]] = {}
        for opening in pattern.openings:
            added = leather(bridge, opening, pattern.land, width=width)
            if added:
                rest = as_area(opening.shape.difference(shapely.union_all(added)))
                found = [p for p in shapely.get_parts(rest).tolist() if not p.is_empty]
                if not found:
                    raise FiligreeError(
                        f"bridge {number} fills opening {opening.id} from side to side",
                        remedy="make it narrower, or keep the field with --keep",
                        where="[[bridge]]",
                    )
                parts[opening.id] = tuple(sorted(found, key=lambda p: (-p.area, p.bounds)))
        if not parts:
            raise FiligreeError(
                f"bridge {number} from {_place(bridge.start)} to {_place(bridge.end)} mm crosses no opening",
                remedy="draw it across one, or remove the entry",
                where="[[bridge]]",
            )
        pattern, new = with_parts(pattern, parts, first_free=first_free)
        first_free += len(new)
    return settled(pattern, drawn)


def leather(bridge: Bridge, opening: Opening, land: Area, *, width: float) -> list[Polygon]:
    """Give the leather that a bridge adds in one opening; none when it does not enter it."""
    wide = bridge.width if bridge.width is not None else width
    return [shaped(way, opening, land, wide) for way in _ways(bridge, opening.shape)]


def enters(bridge: Bridge, hole: Polygon) -> bool:
    """Say whether a bridge runs through a hole."""
    return bool(LineString([bridge.start, bridge.end]).intersection(hole).length > SHORT)


def _ways(bridge: Bridge, hole: Polygon) -> list[FloatArray]:
    """Give the chords of an opening that a bridge runs along, start to end, each `(2, 2)`."""
    drawn = LineString([bridge.start, bridge.end])
    if not enters(bridge, hole):
        return []
    one, other = np.array(bridge.start), np.array(bridge.end)
    left, top, right, bottom = hole.union(drawn).bounds
    far = (other - one) / drawn.length * math.hypot(right - left, bottom - top)
    chords = shapely.get_parts(LineString([one - far, other + far]).intersection(hole)).tolist()
    return [
        np.asarray(chord.coords)[[0, -1]]
        for chord in chords
        if isinstance(chord, LineString) and _shared(chord, one, other) > SHORT
    ]


def _shared(chord: LineString, one: FloatArray, other: FloatArray) -> float:
    """Length that a chord has in common with the drawn line on the same line."""
    unit = (other - one) / max(float(np.hypot(*(other - one))), 1e-12)
    ends = sorted(((np.asarray(chord.coords)[[0, -1]] - one) @ unit).tolist())
    return float(min(ends[1], (other - one) @ unit) - max(ends[0], 0.0))


def _place(at: XY) -> str:
    return f"{at[0]:g}, {at[1]:g}"
