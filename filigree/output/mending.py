"""Before and after: where mending added leather, hatched so that it reads in black and white."""

from collections.abc import Sequence

import numpy as np
import shapely

from filigree.geometry.types import Area, FloatArray
from filigree.mend.model import Mended
from filigree.output.markup import FONT, broken, escaped, number, path_data
from filigree.output.report import ChangeRow, Report
from filigree.plies.drawn import Drawn

EDGE = 10.0  # mm
TEXT = 3.0  # mm
STEP = 4.4  # mm
HATCH = (
    '<defs><pattern id="added" width="1.2" height="1.2" patternUnits="userSpaceOnUse" '
    'patternTransform="rotate(45)"><rect width="1.2" height="1.2" fill="#fff"/>'
    '<path d="M0 0V1.2" stroke="#000" stroke-width=".7"/></pattern></defs>'
)
LISTED = 60  # changes written out
LEFT = 20  # places that were not mended, written out
COLUMN = 72.0  # mm: least width of a column of the list, with the gap beside it


def mend_svg(before: Drawn, after: Drawn, mended: Mended, report: Report) -> bytes:
    """Draw a piece before and after mending, with a list of what was done.

    Returns:
        SVG, UTF-8, at true size in mm.
    """
    left, top, right, bottom = before.bounds
    wide, tall = right - left, bottom - top
    beside = wide < 1.4 * tall
    step = (wide + EDGE, 0.0) if beside else (0.0, tall + 12)
    words = _words(report)
    width = max((2 * wide + 3 * EDGE) if beside else (wide + 2 * EDGE), 150.0)
    columns = max(int((width - EDGE) / COLUMN), 1)
    room = (width - EDGE) / columns - EDGE
    lines = [part for line in words for part in broken(line, room, TEXT)]
    rows = -(-len(lines) // columns)
    foot = (tall if beside else 2 * tall + 12) + 24
    height = foot + STEP * rows + EDGE
    body = [
        f'<rect width="{number(width)}" height="{number(height)}" fill="#fff"/>',
        HATCH,
        *_panel("Before", before, None, at=(EDGE - left, EDGE + 4 - top)),
        *_panel("After", after, mended, at=(EDGE - left + step[0], EDGE + 4 - top + step[1])),
        *(
            f'<text x="{number(EDGE + k // rows * (room + EDGE))}" y="{number(foot + k % rows * STEP)}" '
            f'font-size="{TEXT}">{escaped(line)}</text>'
            for k, line in enumerate(lines)
        ),
    ]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(width)}mm" height="{number(height)}mm" '
        f'viewBox="0 0 {number(width)} {number(height)}" font-family="{FONT}">'
        f"<title>{escaped(report.drawing.file)}: mended</title>\n" + "\n".join(body) + "\n</svg>\n"
    ).encode()


def _panel(
    title: str, drawn: Drawn, mended: Mended | None, *, at: tuple[float, float]
) -> list[str]:
    left, top, _, _ = drawn.bounds
    outline = "".join(path_data(p, 2) for p in drawn.outline)
    rows = [
        f'<g transform="translate({number(at[0])},{number(at[1])})">',
        f'<text x="{number(left)}" y="{number(top - 3)}" font-size="3.4" font-weight="bold">{title}</text>',
        f'<path d="{outline}" fill="#fff" stroke="#000" stroke-width=".35"/>',
    ]
    rows += [
        f'<path d="{"".join(path_data(p, 2) for p in o.paths)}" fill="#b5b5b5" fill-rule="evenodd" '
        'stroke="#000" stroke-width=".2"/>'
        for o in drawn.openings
    ]
    for k, change in enumerate(mended.changes if mended is not None else (), start=1):
        rows.append(
            f'<path d="{_area(change.added)}" fill="url(#added)" fill-rule="evenodd" stroke="#000" stroke-width=".15"/>'
        )
        x, y = change.at
        rows.append(
            f'<text x="{number(x, 2)}" y="{number(y + 0.9, 2)}" font-size="2.4" font-weight="bold" '
            f'text-anchor="middle" stroke="#fff" stroke-width=".7" paint-order="stroke">{k}</text>'
        )
    return [*rows, "</g>"]


def _area(area: Area) -> str:
    rings = shapely.get_rings(shapely.get_parts(np.array([area], dtype=object)))
    return "".join(_ring(shapely.get_coordinates(ring)) for ring in rings)


def _ring(points: FloatArray) -> str:
    return "M" + "L".join(f"{number(x, 2)},{number(y, 2)}" for x, y in points.tolist()) + "Z"


def _words(report: Report) -> Sequence[str]:
    mended = report.mended
    if mended is None:
        return ()
    said = [f"{len(mended.changes)} changes; hatched: leather that was added."]
    for k, c in enumerate(mended.changes[:LISTED], start=1):
        said.append(f"{k}: {c.how}{_grew(c)}. {c.why} {_lost(c)}")
    if len(mended.changes) > LISTED:
        said.append(f"and {len(mended.changes) - LISTED} more in report.json")
    said += [
        f"Not mended at {u.at[0]:.1f}, {u.at[1]:.1f}: {u.width_mm:.2f} mm of {u.wanted_mm:.2f} mm, since {u.why}."
        for u in mended.unmended[:LEFT]
    ]
    if len(mended.unmended) > LEFT:
        said.append(
            f"and {len(mended.unmended) - LEFT} more places that were not mended, in report.json"
        )
    if mended.advice:
        said.append(mended.advice)
    return said


def _grew(change: ChangeRow) -> str:
    if change.how == "fill":
        return ""
    of = " radius" if change.how in ("round", "blunt") else ""
    return f"{of} {change.before_mm:.2f} to {change.after_mm:.2f} mm"


def _lost(change: ChangeRow) -> str:
    if change.how == "blunt":
        return f"Leather cut away: {sum(-row.area_mm2 for row in change.lost):.1f} mm2."
    lost = ", ".join(f"opening {row.opening}: {row.area_mm2:.1f} mm2" for row in change.lost)
    return f"Lost by {lost}."
