"""Tidy: noded lines as they were meant. Gaps closed, slivers and tails gone, loose lines set apart."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from filigree.geometry.types import BoolArray, FloatArray, Shapes
from filigree.regions.arrangement import Arrangement, arrange
from filigree.regions.chains import Chains, take
from filigree.regions.crowds import Thinned
from filigree.regions.ends import tails
from filigree.regions.faces import Faces, find_faces
from filigree.regions.gaps import close_gaps
from filigree.regions.model import Mended
from filigree.regions.runs import ROUNDING
from filigree.regions.slivers import Sliver, merge_slivers
from filigree.regions.welding import hairlines, weld

LISTED = 0.01  # mm: what is mended over less is not worth a line
DOUBLED = 1.0  # mm: a sliver this long lies between two drawings of one line


What = Literal["gap closed", "lines merged", "sliver dropped", "tail dropped"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tidied:
    """The faces of the tidied lines, the lines that enclose nothing, and what was done."""

    faces: Faces
    loose: Chains
    mended: tuple[Mended, ...]


def tidy(
    noded: Arrangement,
    *,
    gap: float,
    sliver: float,
    light: Shapes | None = None,
    thinned: Thinned | None = None,
) -> Tidied:
    """Close gaps up to `gap` mm, merge slivers under `sliver` mm, drop overshoots up to `gap` mm.

    Gaps that cross one of the shapes in `light` stay open: there the eye sees that no line is. What was
    `thinned` out before is listed with the rest.
    """
    sliver = max(sliver - ROUNDING, 0.0)  # a face just as wide stays, however it is turned
    faces = find_faces(noded)
    marked = hairlines(faces, under=sliver)
    mended: list[Mended] = []
    if thinned is not None:
        mended += _listed("lines merged", thinned.at, thinned.length)
    if marked.any():
        graph, welds = weld(noded, marked, within=sliver)
        if graph is not noded:
            crumbs = tails(graph, longest=sliver).chains & welds.chains
            faces = find_faces(arrange(take(graph.chains, np.flatnonzero(~crumbs))))
            mended += _listed("lines merged", welds.at, welds.length)
    made = np.zeros(len(faces.graph.chains), dtype=bool)
    faces, made, slivers = _without_slivers(faces, made, under=sliver)
    mended += [_of_sliver(s) for s in slivers]
    closed = close_gaps(faces.graph, gap=gap, light=light)
    if len(closed.length):
        faces, made = find_faces(closed.graph), closed.made
        mended += _listed("gap closed", closed.at, closed.length)
        faces, made, slivers = _without_slivers(faces, made, under=sliver)
        mended += [_of_sliver(s) for s in slivers]
    graph = faces.graph
    idle = graph.walk[0::2] == graph.walk[1::2]
    loose = take(graph.chains, np.empty(0, dtype=np.int64))
    if idle.any():
        over = tails(graph, longest=gap)
        mended += _listed("tail dropped", over.at, over.length)
        loose = take(graph.chains, np.flatnonzero(idle & ~made & ~over.chains))
        faces = find_faces(arrange(take(graph.chains, np.flatnonzero(~idle))))
    mended.sort(key=lambda m: (round(m.at[1], 3), round(m.at[0], 3), m.what, m.length))
    return Tidied(faces=faces, loose=loose, mended=tuple(m for m in mended if m.length > LISTED))


def _without_slivers(
    faces: Faces, made: BoolArray, *, under: float
) -> tuple[Faces, BoolArray, tuple[Sliver, ...]]:
    stays, slivers = merge_slivers(faces, under=under)
    if stays.all():
        return faces, made, slivers
    kept = np.flatnonzero(stays)
    return find_faces(arrange(take(faces.graph.chains, kept))), made[kept], slivers


def _of_sliver(sliver: Sliver) -> Mended:
    doubled = sliver.length >= DOUBLED
    what: What = "lines merged" if doubled else "sliver dropped"
    return Mended(what=what, at=sliver.at, length=sliver.length)


def _listed(what: What, at: FloatArray, length: FloatArray) -> list[Mended]:
    places = zip(at.tolist(), length.tolist(), strict=True)
    return [Mended(what=what, at=(x, y), length=mm) for (x, y), mm in places]
