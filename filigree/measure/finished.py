"""Finished: the face as it is left by the cut, on which bridges are measured (handbook 2.1, 2.6)."""

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
    openings = tuple(
        replaced
        for opening in pattern.openings
        for replaced in _again(opening, known.get(id(opening.shape))) or _opening(opening, loss)
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


def _again(opening: Opening, parts: list[Opening] | None) -> list[Opening]:
    return [replace(opening, shape=p.shape, at=p.at, area_mm2=p.area_mm2) for p in parts or ()]


def _opening(opening: Opening, loss: CutLoss) -> list[Opening]:
    shape = grown(shrunk(opening.shape, loss.bevel), loss.bevel / 2 + loss.char)
    parts = [p for p in shapely.get_parts(shape).tolist() if isinstance(p, Polygon)]
    if not parts:
        return []
    at, _ = poles(parts)
    return [
        replace(opening, shape=part, at=(float(x), float(y)), area_mm2=float(part.area))
        for part, (x, y) in zip(parts, at, strict=True)
    ]


def _largest(shape: shapely.Geometry) -> Polygon:
    parts = [p for p in shapely.get_parts(shape).tolist() if isinstance(p, Polygon)]
    return max(parts, key=lambda p: float(p.area), default=Polygon())
