"""Divide a drawing into its enclosed regions."""

import numpy as np
import shapely
from shapely import MultiLineString

from filigree.drawing.model import Drawing, Field
from filigree.geometry.types import Area, FloatArray, IntArray, Shapes
from filigree.regions.chains import Chains, pack, together
from filigree.regions.crowds import thin_out
from filigree.regions.faces import neighbours, polygons
from filigree.regions.inside import Inside
from filigree.regions.limits import (
    MOST_FACES,
    MOST_SEGMENTS,
    refuse_crossings,
    refuse_faces,
    refuse_segments,
)
from filigree.regions.model import Region, RegionMap
from filigree.regions.noding import node
from filigree.regions.order import reading_order
from filigree.regions.paint import Seen, neighbours_seen, see
from filigree.regions.runs import runs_of
from filigree.regions.tidy import Tidied, tidy

FLAT = 1e-6  # mm2: a face of less is a line gone there and back


def divide(
    drawing: Drawing,
    *,
    gap: float = 1.0,
    sliver: float = 0.08,
    most_segments: int = MOST_SEGMENTS,
    most_faces: int = MOST_FACES,
) -> RegionMap:
    """Find every enclosed region of a drawing.

    Args:
        drawing: lines in mm.
        gap: widest gap in a line that is closed, mm.
        sliver: faces of less mean width than this are given to a neighbour, mm.
        most_segments: straight pieces of line that are taken on.
        most_faces: enclosed faces that are taken on.

    A painted drawing is matched with what the eye sees: each field takes the face of the lines it lies
    in, or keeps its visible edge; dark shapes become solid regions; other faces are no regions.

    Returns:
        The regions in reading order, with neighbours, outlines, loose lines and what was tidied.

    Raises:
        FiligreeError: there are more segments or faces than that; found before memory is used up.
        ValueError: `gap` or `sliver` is below 0.
    """
    if not (gap >= 0 and sliver >= 0):
        raise ValueError(f"gap {gap} and sliver {sliver} are lengths of 0 or more")
    lines = pack(drawing.lines)
    refuse_segments(lines, most=most_segments, name=drawing.name)
    part = runs_of(lines) if len(lines) else None
    if part is not None:
        refuse_crossings(lines, part, most_faces=most_faces, name=drawing.name)
    thinned = thin_out(lines, part, within=sliver) if part is not None and sliver else None
    if thinned is not None:
        lines, part = thinned.chains, runs_of(thinned.chains)
    noded = node(lines, part)
    if drawing.fields is None:
        tidied = tidy(noded, gap=gap, sliver=sliver, thinned=thinned)
        refuse_faces(len(tidied.faces), most=most_faces, name=drawing.name)
        return _region_map(tidied)
    light = np.array([field.shape for field in drawing.fields], dtype=object)
    tidied = tidy(noded, gap=gap, sliver=sliver, light=light, thinned=thinned)
    refuse_faces(len(tidied.faces), most=most_faces, name=drawing.name)
    return _painted_map(tidied, drawing.fields, drawing.solids)


def _region_map(tidied: Tidied) -> RegionMap:
    """Take every face as a region."""
    shapes, outlines = polygons(tidied.faces)
    real = np.flatnonzero(shapely.area(shapes) > FLAT)
    plain = Seen(shapes=shapes[real], face=real, solid=np.zeros(len(real), dtype=bool))
    pairs, shared = neighbours(tidied.faces)
    row = np.full(len(shapes), -1, dtype=np.int64)
    row[real] = np.arange(len(real))
    both = (row[pairs] >= 0).all(axis=1)
    return _numbered(tidied, plain, (row[pairs[both]], shared[both]), outlines)


def _painted_map(tidied: Tidied, fields: tuple[Field, ...], solids: Area) -> RegionMap:
    """Take the faces that the eye sees as fields or dark shapes."""
    faces, outlines = polygons(tidied.faces)
    seen = see(faces, fields, solids)
    pairs = neighbours_seen(seen, *neighbours(tidied.faces), count=len(faces))
    if not len(outlines) and len(seen.shapes):
        filled = shapely.polygons(shapely.get_exterior_ring(seen.shapes))
        outlines = np.asarray(filled)[np.argsort(-shapely.area(filled), kind="stable")][:1]
    return _numbered(tidied, seen, pairs, outlines)


def _numbered(
    tidied: Tidied, seen: Seen, pairs: tuple[IntArray, FloatArray], outlines: Shapes
) -> RegionMap:
    """Number the regions: the light fields in reading order, then the dark shapes."""
    order = reading_order(seen.shapes)
    order = order[np.argsort(seen.solid[order], kind="stable")]
    shapes, face, solid = seen.shapes[order], seen.face[order], seen.solid[order]
    loose = _lines(tidied.loose)
    inside = Inside(shapes, loose)
    rows = zip(shapes, shapely.area(shapes).tolist(), face.tolist(), solid.tolist(), strict=True)
    regions = tuple(
        Region(
            id=k + 1,
            shape=shape,
            area_mm2=size,
            edge="visible" if from_face < 0 else "middle",
            solid=dark,
            inside=inside,
            row=k,
        )
        for k, (shape, size, from_face, dark) in enumerate(rows)
    )
    ids, shared = _renumber(*pairs, order)
    return RegionMap(
        regions=regions,
        pairs=ids,
        shared=shared,
        outline=outlines[0] if len(outlines) else None,
        outlines=tuple(outlines[1:]),
        loose=loose,
        tidied=tidied.mended,
    )


def _lines(chains: Chains) -> MultiLineString:
    if not len(chains):
        return MultiLineString()
    merged = shapely.line_merge(together(chains))
    return MultiLineString(list(shapely.get_parts(merged)))


def _renumber(pairs: IntArray, shared: FloatArray, order: IntArray) -> tuple[IntArray, FloatArray]:
    """Turn pairs of faces into pairs of ids."""
    number = np.empty(len(order), dtype=np.int64)
    number[order] = np.arange(1, len(order) + 1)
    ids = np.sort(number[pairs], axis=1)
    rows = np.lexsort((ids[:, 1], ids[:, 0]))
    return ids[rows], shared[rows]
