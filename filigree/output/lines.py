"""Lines: a redrawn scan as clean line art in mm, and a picture of those lines over the scan."""

from io import BytesIO

import numpy as np
import shapely
from PIL import Image, ImageDraw
from PIL.PngImagePlugin import PngInfo

from filigree.drawing.model import Drawing
from filigree.drawing.scan import Redrawn
from filigree.geometry.bezier import points_at
from filigree.geometry.fit import fit_all
from filigree.geometry.path import Path
from filigree.geometry.types import FloatArray
from filigree.output.markup import escaped, number, path_data, polyline_data

LINES_DESC = "Redrawn in mm"  # these words tell our own files from a stranger's
OVERLAY_TITLE = "Redrawn lines over the scan"
STROKE = 0.3  # mm
ON_EDGE = 0.04  # mm within which a line is the edge of a solid
OVERLAY_PER_MM = 8.0  # pixels to a mm of the picture, at most
OVERLAY_MOST = 3000  # pixels, longer side of the picture
PALE = 0.45  # share of its darkness that the scan keeps under the lines
LINE, MARK, GAP, END = (200, 30, 40), (40, 110, 190), (20, 140, 60), (230, 140, 0)
SMOOTH = 2  # the lines are drawn this much larger and shrunk
WIDE = 0.12  # mm, a line in the picture
RING = 0.9  # mm, radius of the ring round a closed gap


def lines_svg(redrawn: Redrawn) -> bytes:
    """Write the lines as curves in mm: groups `lines`, `solids` and `marks`.

    Marks are kept as drawn, in a group that a reader takes for wishes and not for lines.
    """
    drawing = redrawn.drawing
    edge = drawing.solids.boundary
    shapely.prepare(edge)
    lines = [p for p in redrawn.paths if not _on_edge(p, edge)]
    body = [
        (
            f'<g id="lines" fill="none" stroke="#000000" stroke-width="{number(STROKE)}" '
            'stroke-linecap="round" stroke-linejoin="round">'
        ),
        *(f'<path d="{path_data(p)}"/>' for p in lines),
        "</g>",
    ]
    if not drawing.solids.is_empty:
        body += [
            '<g id="solids" fill="#000000" fill-rule="evenodd" stroke="none">',
            *_solids(drawing),
            "</g>",
        ]
    if drawing.marks:
        body += [
            '<g id="marks" class="open" fill="none" stroke="#808080" stroke-width="0.2">',
            *(f'<polyline points="{_points(line)}"/>' for line in redrawn.mark_lines),
            *(
                f'<path d="{polyline_data(np.asarray(m.shape.exterior.coords)[:-1], 3)}Z" fill="#d9d9d9" stroke="none"/>'
                for m in drawing.marks
                if m.how == "shaded" and isinstance(m.shape, shapely.Polygon)
            ),
            "</g>",
        ]
    width, height = number(drawing.width), number(drawing.height)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}">'
        f"<title>{escaped(drawing.name)}: lines</title>"
        f"<desc>{LINES_DESC}; scale from {escaped(drawing.scale_from)}.</desc>\n"
        + "\n".join(body)
        + "\n</svg>\n"
    ).encode()


def _points(line: FloatArray) -> str:
    return " ".join(f"{number(x, 3)},{number(y, 3)}" for x, y in line.tolist())


def _on_edge(path: Path, edge: shapely.Geometry) -> bool:
    if shapely.is_empty(edge):
        return False
    middles = points_at(path.cubics, np.full(len(path.cubics), 0.5))
    return bool(np.median(shapely.distance(edge, shapely.points(middles))) < ON_EDGE)


def _solids(drawing: Drawing) -> list[str]:
    """One path for each solid, its holes with it."""
    out = []
    for solid in shapely.get_parts(drawing.solids):
        rings = [shapely.get_coordinates(r) for r in shapely.get_rings(solid)]
        out.append(
            f'<path d="{"".join(path_data(p) for p in fit_all(rings, [True] * len(rings)))}"/>'
        )
    return out


def overlay_png(redrawn: Redrawn) -> bytes:
    """Draw the lines over the scan, set straight and to scale, so that she can judge them."""
    drawing = redrawn.drawing
    per_mm = min(OVERLAY_PER_MM, OVERLAY_MOST / max(drawing.width, drawing.height))
    size = (max(1, round(drawing.width * per_mm)), max(1, round(drawing.height * per_mm)))
    under = _scan_on_page(redrawn, size, per_mm)
    over = Image.new("RGBA", (size[0] * SMOOTH, size[1] * SMOOTH))
    pen = ImageDraw.Draw(over)
    k = per_mm * SMOOTH
    wide = max(2, round(WIDE * k))
    for area in drawing.marks:
        for part in shapely.get_parts(area.shape):
            if isinstance(part, shapely.Polygon):
                pen.polygon(_scaled(shapely.get_coordinates(part.exterior), k), fill=(*MARK, 60))
    for line in redrawn.mark_lines:
        pen.line(_scaled(line, k), fill=(*MARK, 255), width=wide)
    for line in drawing.lines:
        pen.line(_scaled(line, k), fill=(*LINE, 255), width=wide, joint="curve")
        if not np.array_equal(line[0], line[-1]):
            for x, y in _scaled(line[[0, -1]], k):
                pen.ellipse((x - wide, y - wide, x + wide, y + wide), fill=(*END, 255))
    for gap in drawing.closed:
        x, y = gap.at[0] * k, gap.at[1] * k
        r = (RING + gap.length / 2) * k
        pen.ellipse((x - r, y - r, x + r, y + r), outline=(*GAP, 255), width=wide)
    shown = Image.alpha_composite(under, over.resize(size, Image.Resampling.BOX))
    out = BytesIO()
    told = PngInfo()
    told.add_text("Title", OVERLAY_TITLE)
    shown.convert("RGB").save(out, "PNG", dpi=(per_mm * 25.4, per_mm * 25.4), pnginfo=told)
    return out.getvalue()


def _scaled(points: FloatArray, k: float) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in points * k]


def _scan_on_page(redrawn: Redrawn, size: tuple[int, int], per_mm: float) -> Image.Image:
    """The scan seen through its frame, pale."""
    from scipy.ndimage import map_coordinates

    shrink = max(1, int(redrawn.frame.per_mm / per_mm))
    grey = np.asarray(redrawn.grey.reduce(shrink) if shrink > 1 else redrawn.grey)
    out = np.empty((size[1], size[0]), np.uint8)
    x = (np.arange(size[0]) + 0.5) / per_mm
    for top in range(0, size[1], 256):
        y = (np.arange(top, min(top + 256, size[1])) + 0.5) / per_mm
        on_page = np.column_stack([np.tile(x, len(y)), np.repeat(y, len(x))])
        at = (redrawn.frame.to_pixels(on_page) + 0.5) / shrink - 0.5
        seen = map_coordinates(grey, [at[:, 1], at[:, 0]], order=1, mode="constant", cval=255)
        out[top : top + len(y)] = 255 - PALE * (255 - seen.reshape(len(y), len(x)))
    return Image.fromarray(out).convert("RGBA")
