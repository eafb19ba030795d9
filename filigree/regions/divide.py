"""Divide a drawing into its enclosed regions."""

import numpy as np
import shapely
from shapely import MultiLineString

from filigree.drawing.model import Drawing
from filigree.geometry.poles import poles
from filigree.geometry.types import FloatArray, IntArray
from filigree.regions.chains import Chains, linestrings, pack
from filigree.regions.faces import neighbours, polygons
from filigree.regions.model import Region, RegionMap
from filigree.regions.noding import node
from filigree.regions.order import reading_order
from filigree.regions.tidy import Tidied, tidy


def divide(drawing: Drawing, *, gap: float = 1.0, sliver: float = 0.08) -> RegionMap:
    """Find every enclosed region of a drawing.

    Args:
        drawing: lines in mm.
        gap: widest gap in a line that is closed, mm.
        sliver: faces of less mean width than this are given to a neighbour, mm.

    Returns:
        The regions in reading order, with neighbours, outlines, loose lines and what was tidied.
    """
    if not (gap >= 0 and sliver >= 0):
        raise ValueError(f"gap {gap} and sliver {sliver} are lengths of 0 or more")
    return _region_map(tidy(node(pack(drawing.lines)), gap=gap, sliver=sliver))


def _region_map(tidied: Tidied) -> RegionMap:
    faces, loose = tidied.faces, tidied.loose
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
        loose=_lines(loose),
        tidied=tidied.mended,
    )


def _lines(chains: Chains) -> MultiLineString:
    if not len(chains):
        return MultiLineString()
    merged = shapely.line_merge(MultiLineString(list(linestrings(chains))))
    return MultiLineString(list(shapely.get_parts(merged)))


def _renumber(pairs: IntArray, shared: FloatArray, order: IntArray) -> tuple[IntArray, FloatArray]:
    """Turn pairs of faces into pairs of ids."""
    number = np.empty(len(order), dtype=np.int64)
    number[order] = np.arange(1, len(order) + 1)
    ids = np.sort(number[pairs], axis=1)
    rows = np.lexsort((ids[:, 1], ids[:, 0]))
    return ids[rows], shared[rows]
