"""Divide a drawing into its enclosed regions."""

import numpy as np
import shapely
from shapely import MultiLineString

from filigree.drawing.model import Drawing
from filigree.geometry.poles import poles
from filigree.geometry.types import FloatArray, IntArray
from filigree.regions.arrangement import Arrangement, arrange
from filigree.regions.chains import Chains, linestrings, pack, take
from filigree.regions.faces import Faces, find_faces, neighbours, polygons
from filigree.regions.model import Region, RegionMap
from filigree.regions.noding import node
from filigree.regions.order import reading_order


def divide(drawing: Drawing, *, gap: float = 1.0, sliver: float = 0.08) -> RegionMap:
    """Find every enclosed region of a drawing.

    Args:
        drawing: lines in mm.
        gap: widest gap in a line that is closed, mm.
        sliver: faces of less mean width than this are given to a neighbour, mm.

    Returns:
        The regions in reading order, with neighbours, outlines, loose lines and what was tidied.
    """
    graph, loose = closed_only(arrange(node(pack(drawing.lines))))
    return _region_map(find_faces(graph), loose)


def closed_only(graph: Arrangement) -> tuple[Arrangement, Chains]:
    """Take out the chains that enclose nothing: those with one face on both sides."""
    idle = graph.walk[0::2] == graph.walk[1::2]
    if not idle.any():
        return graph, take(graph.chains, np.empty(0, dtype=np.int64))
    loose = take(graph.chains, np.flatnonzero(idle))
    return arrange(take(graph.chains, np.flatnonzero(~idle))), loose


def _region_map(faces: Faces, loose: Chains) -> RegionMap:
    shapes, outlines = polygons(faces)
    order = reading_order(shapes)
    at, _ = poles(shapes[order])
    area = shapely.area(shapes[order])
    regions = tuple(
        Region(id=k + 1, shape=shape, at=(x, y), area_mm2=size)
        for k, (shape, (x, y), size) in enumerate(
            zip(shapes[order], at.tolist(), area.tolist(), strict=True)
        )
    )
    pairs, shared = _renumber(*neighbours(faces), order)
    return RegionMap(
        regions=regions,
        pairs=pairs,
        shared=shared,
        outline=outlines[0] if len(outlines) else None,
        outlines=tuple(outlines[1:]),
        loose=shapely.multilinestrings(linestrings(loose)) if len(loose) else MultiLineString(),
        tidied=(),
    )


def _renumber(pairs: IntArray, shared: FloatArray, order: IntArray) -> tuple[IntArray, FloatArray]:
    """Turn pairs of faces into pairs of ids."""
    number = np.empty(len(order), dtype=np.int64)
    number[order] = np.arange(1, len(order) + 1)
    ids = np.sort(number[pairs], axis=1)
    rows = np.lexsort((ids[:, 1], ids[:, 0]))
    return ids[rows], shared[rows]
