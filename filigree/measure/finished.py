"""Finished: the face as it is left by the cut, on which bridges are measured (handbook 2.1, 2.6)."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely import Polygon

from filigree.geometry.offset import areas, grown, shrunk
from filigree.geometry.poles import poles
from filigree.job import CutLoss
from filigree.pattern import Opening, Pattern


def finished(
    pattern: Pattern, loss: CutLoss, *, before: tuple[Pattern, Pattern] | None = None
) -> Pattern:
    """Give the face after kerf, char and bevel.

    The kerf is made good by the paths, so it takes nothing. Char takes its width from every cut edge. With a
    bevel the openings stand back by it, and of the sloped strip that this leaves half counts.

    Args:
        pattern: as drawn.
        loss: mm.
        before: another pattern, and what the same loss has left of it; what it shares is taken from there.

    Returns:
        The same object when nothing is lost. Otherwise an opening that the bevel closes is gone, and one that
        it parts stands once for each part, with one id.
    """
    if not loss.char and not loss.bevel:
        return pattern
    known = _known(*before) if before is not None else {}
    parts = {
        k: _parts(o, loss) for k, o in enumerate(pattern.openings) if not known.get(id(o.shape))
    }
    at, _ = poles([part for own in parts.values() for part in own])
    inside = iter(at.tolist())
    openings = tuple(
        left
        for k, opening in enumerate(pattern.openings)
        for left in (
            [_left(opening, part, next(inside)) for part in parts[k]]
            if k in parts
            else [_left(opening, p.shape, p.at) for p in known[id(opening.shape)]]
        )
    )
    outline = pattern.outline
    if before is not None and before[0].outline is outline:
        outline = before[1].outline
    elif loss.char:
        outline = _largest(shrunk(outline, loss.char))
    shapes = np.array([o.shape for o in openings], dtype=object)
    holes = shapely.disjoint_subset_union_all(shapes) if openings else Polygon()
    land = areas(outline.difference(holes))
    return replace(pattern, outline=outline, openings=openings, land=land)


def _known(drawn: Pattern, left: Pattern) -> dict[int, list[Opening]]:
    """Give what was left of each opening, by the identity of its shape; nothing where ids are shared."""
    ids = [o.id for o in drawn.openings]
    if len(set(ids)) != len(ids):
        return {}
    parts: dict[int, list[Opening]] = {}
    for one in left.openings:
        parts.setdefault(one.id, []).append(one)
    return {id(o.shape): parts.get(o.id, []) for o in drawn.openings}


def _parts(opening: Opening, loss: CutLoss) -> list[Polygon]:
    shape = grown(shrunk(opening.shape, loss.bevel), loss.bevel / 2 + loss.char)
    return [p for p in shapely.get_parts(shape).tolist() if isinstance(p, Polygon)]


def _left(opening: Opening, part: Polygon, at: Sequence[float]) -> Opening:
    return replace(opening, shape=part, at=(at[0], at[1]), area_mm2=float(part.area))


def _largest(shape: shapely.Geometry) -> Polygon:
    parts = [p for p in shapely.get_parts(shape).tolist() if isinstance(p, Polygon)]
    return max(parts, key=lambda p: float(p.area), default=Polygon())
