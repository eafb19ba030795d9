"""Papers that are not cut: the glue map and the tooling pattern, laid out like the plies they belong to."""

from collections.abc import Iterable, Sequence

import numpy as np
import shapely
from shapely import Polygon

from filigree.drawing.model import Drawing
from filigree.geometry.bezier import lines_as_cubics
from filigree.geometry.curves import Source
from filigree.geometry.path import Path
from filigree.geometry.types import FloatArray
from filigree.job import Job
from filigree.measure.pull import direction
from filigree.pattern import Pattern
from filigree.plies.glue import GlueMap
from filigree.plies.hardware import centres, hardware_cut, on_piece
from filigree.plies.lie import way_said
from filigree.plies.lines import Sheet, hole_cut
from filigree.plies.model import Cut, Ply
from filigree.plies.punch import PunchSchedule
from filigree.plies.stitch import StitchLine
from filigree.plies.stock import Stock, stock_of

HATCH = 2.0  # mm between the lines that shade what comes out
CROSS = 3.0  # mm: length of a stretch mark's arms, and how far inside the blank it stands
SPOTS = 240  # places round the margin that are tried for it
LINE = 0.02  # mm: drawn lines may be simplified by this much


def glue_sheet(pattern: Pattern, job: Job, glue: GlueMap) -> Ply:
    """Lay out where cement goes on the flesh side of the face; mirrored, as it is seen from there."""
    stock = stock_of(pattern.outline, job)
    source = Source(pattern.curves)
    return _paper(
        "glue",
        stock,
        job,
        title="Glue map",
        note=(
            "Cement goes inside these lines: mirrored as they are on the flesh side of the face, the other way "
            "round on the inlay. Nothing is cut."
        ),
        shape=pattern.land,
        area_mm2=glue.area_mm2,
        cuts=[
            Cut(name="cement", paths=glue.paths),
            Cut(name="outline", paths=source.paths(pattern.outline)),
            hole_cut("pins", stock.pins, stock.pin, kerf=0.0),
        ],
        mirrored=True,
    )


def transfer_sheet(
    drawing: Drawing,
    pattern: Pattern,
    job: Job,
    *,
    line: StitchLine | None,
    punches: PunchSchedule,
) -> Ply:
    """Lay out the tooling pattern that is traced onto the cased face: knife lines as drawn, shaded openings.

    Two crosses in the margin stand at known distances along and across the piece, the directions of
    `[cut] stretch_along` and `stretch_across`; measured again after tooling they give the stretch of the leather.
    """
    stock = stock_of(pattern.outline, job)
    unit = direction(job.use.pull, pattern.outline)
    marks, apart = _marks(pattern.outline, stock, unit)
    corners = np.array([p.at for p in punches.punches]).reshape(-1, 2)
    holes = on_piece(job.use.holes, pattern.outline)
    sizes = sorted({p.diameter for p in punches.punches})
    cuts = [
        Cut(name="knife-lines", paths=tuple(_open(drawing.lines))),
        Cut(name="outline", paths=Source(pattern.curves).paths(pattern.outline)),
        Cut(name="shading", paths=tuple(_open(_hatched([o.shape for o in pattern.openings])))),
        *([Cut(name="stitch-line", paths=tuple(_open(line.lines)))] if line is not None else []),
        *(
            hole_cut(
                f"punch-{size:g}",
                corners[[p.diameter == size for p in punches.punches]],
                size,
                kerf=0.0,
            )
            for size in sizes
        ),
        *hardware_cut(holes, centres(holes), kerf=0.0),
        hole_cut("pins", stock.pins, stock.pin, kerf=0.0),
        Cut(name="stretch-marks", paths=tuple(marks)),
    ]
    return _paper(
        "transfer",
        stock,
        job,
        title="Tooling pattern",
        note=(
            f"Trace onto the cased face, grain side up, not mirrored. Shaded fields come out. The two crosses stand "
            f"{apart[0]:.1f} mm along the piece ({way_said(unit)}) and {apart[1]:.1f} mm across it from each "
            "other: measure again after tooling; after / before is stretch_along and stretch_across. "
            "Nothing is cut."
        ),
        shape=pattern.outline,
        area_mm2=float(pattern.outline.area),
        cuts=cuts,
        mirrored=False,
    )


def _open(lines: Iterable[FloatArray]) -> list[Path]:
    """Give polylines as open paths of straight pieces."""
    paths = []
    for points in lines:
        if len(points) < 2:
            continue
        simple = shapely.get_coordinates(shapely.LineString(points).simplify(LINE))
        cubics = lines_as_cubics(simple[:-1], simple[1:])
        paths.append(Path(cubics=cubics, straight=np.ones(len(cubics), dtype=bool), closed=False))
    return paths


def _hatched(shapes: Sequence[Polygon]) -> list[FloatArray]:
    """Slanting lines across what comes out, one set for the whole piece."""
    if not shapes:
        return []
    area = shapely.union_all(list(shapes))
    left, top, right, bottom = area.bounds
    height = bottom - top
    starts = np.arange(left - height, right, HATCH * np.sqrt(2))
    rays = shapely.linestrings(
        np.stack(
            [
                np.c_[starts, np.full(len(starts), bottom)],
                np.c_[starts + height, np.full(len(starts), top)],
            ],
            axis=1,
        )
    )
    cut = shapely.get_parts(shapely.intersection(area, rays))
    return [
        shapely.get_coordinates(piece)
        for piece in cut.tolist()
        if piece.geom_type == "LineString" and piece.length > HATCH / 4
    ]


def _marks(
    outline: Polygon, stock: Stock, unit: FloatArray
) -> tuple[list[Path], tuple[float, float]]:
    """Two crosses in the margin, far apart, and their distance along and across the piece."""
    spots = _margin_spots(outline, stock)
    spread = np.round(spots.sum(axis=1), 6)
    at = [spots[int(np.argmin(spread))], spots[int(np.argmax(spread))]]
    arms = np.array([[CROSS / 2, 0.0], [0.0, CROSS / 2]])
    lines = [np.array([spot - arm, spot + arm]) for spot in at for arm in arms]
    apart = at[1] - at[0]
    along, across = abs(float(apart @ unit)), abs(float(apart @ np.array([-unit[1], unit[0]])))
    return _open(lines), (along, across)


def _margin_spots(outline: Polygon, stock: Stock) -> FloatArray:
    """Places in the margin where a cross is clear of pins and outline; any in the margin when none is."""
    ring = stock.blank.buffer(-CROSS)
    edges = shapely.get_rings(ring)
    ways = np.arange(SPOTS) / SPOTS
    spots = shapely.line_interpolate_point(
        np.repeat(edges, SPOTS), np.tile(ways, len(edges)), normalized=True
    )
    pins = shapely.MultiPoint(stock.pins)
    clear = (shapely.distance(spots, pins) > stock.pin / 2 + CROSS) & (
        shapely.distance(spots, outline) > CROSS / 2
    )
    return np.asarray(shapely.get_coordinates(spots[clear] if clear.sum() > 1 else spots))


def _paper(
    name: str,
    stock: Stock,
    job: Job,
    *,
    title: str,
    note: str,
    shape: shapely.Polygon | shapely.MultiPolygon,
    area_mm2: float,
    cuts: Sequence[Cut],
    mirrored: bool,
) -> Ply:
    sheet = Sheet(size=stock.size, offset=stock.offset, mirrored=mirrored)
    return Ply(
        ply="glue" if name == "glue" else "transfer",
        file=f"{name}.svg",
        title=title,
        note=note,
        colour=job.face.colour,
        thickness=job.face.span,
        cut_from="flesh" if mirrored else "grain",
        mirrored=mirrored,
        cuts=tuple(sheet.placed(cut) for cut in cuts),
        shape=shape,
        area_mm2=area_mm2,
        size=stock.size,
        offset=stock.offset,
    )
