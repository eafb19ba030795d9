"""Before and after: where mending added leather, hatched so that it reads in black and white.

Both pictures and the list stand on one sheet of A4, or of A3 where they would be too small to read on A4.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np
import shapely

from filigree.geometry.types import Area, FloatArray
from filigree.mend.model import Mended, Unmended
from filigree.output.markup import FONT, broken, escaped, number, path_data
from filigree.output.report import ChangeRow, Report, UnmendedRow
from filigree.plies.drawn import Drawn
from filigree.units import counted

EDGE = 10.0  # mm: margin of the sheet, and room between its parts
TITLE = 6.0  # mm: room for the words over a picture
TEXT = 2.6  # mm
STEP = 3.7  # mm
COLUMN = 62.0  # mm: least width of a column of the list, with the gap beside it
SHEETS = ((297.0, 210.0), (210.0, 297.0), (420.0, 297.0), (297.0, 420.0))  # mm: A4, A3
SMALL = 0.7  # of true size: pictures smaller than this go onto A3
SHARE = 0.35  # of a sheet that the list may take from the pictures
HATCH = (
    '<defs><pattern id="added" width="1.2" height="1.2" patternUnits="userSpaceOnUse" '
    'patternTransform="rotate(45)"><rect width="1.2" height="1.2" fill="#fff"/>'
    '<path d="M0 0V1.2" stroke="#000" stroke-width=".7"/></pattern></defs>'
)
DONE = {
    "widen": "widened",
    "tie": "tied",
    "fill": "filled",
    "support": "supported",
    "strengthen": "strengthened",
    "round": "rounded",
    "blunt": "blunted",
}
LEAST = 0.05  # mm2: what else an opening loses is not listed
MORE = "The rest of the list is in report.json."


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """How pictures and list lie on a sheet, mm.

    Attributes:
        size: of the sheet.
        beside: the pictures stand side by side, else one over the other.
        scale: of the pictures; 1 is true size.
        foot: top of the list.
        column: width of a column of the list, without the gap beside it.
        columns: of the list.
    """

    size: tuple[float, float]
    beside: bool
    scale: float
    foot: float
    column: float
    columns: int

    @property
    def rows(self) -> int:
        """Lines of the list that fit in one column."""
        return max(int((self.size[1] - EDGE / 2 - self.foot) / STEP), 1)


def mend_svg(before: Drawn, after: Drawn, mended: Mended, report: Report) -> bytes:
    """Draw a piece before and after mending, with a list of what was done.

    Returns:
        SVG, UTF-8, as large as a sheet of A4 or A3.
    """
    left, top, right, bottom = before.bounds
    wide, tall = right - left, bottom - top
    words = _words(report)
    lain = _layout(wide, tall, words)
    at = (EDGE + wide * lain.scale + EDGE, EDGE) if lain.beside else (EDGE, 0.0)
    down = EDGE if lain.beside else EDGE + tall * lain.scale + TITLE
    width, height = lain.size
    size = "" if lain.scale == 1.0 else f", at {lain.scale:.2f} of its size"
    body = [
        f'<rect width="{number(width)}" height="{number(height)}" fill="#fff"/>',
        HATCH,
        *_panel(f"Before, as drawn{size}", before, None, at=(EDGE, EDGE), scale=lain.scale),
        *_panel(_after(mended), after, mended, at=(at[0], down), scale=lain.scale),
        *_list(words, lain),
    ]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(width)}mm" height="{number(height)}mm" '
        f'viewBox="0 0 {number(width)} {number(height)}" font-family="{FONT}">'
        f"<title>{escaped(report.drawing.file)}: mended</title>\n" + "\n".join(body) + "\n</svg>\n"
    ).encode()


def _layout(wide: float, tall: float, words: Sequence[str]) -> Layout:
    """Lay out a piece so that it comes out largest: on A4 unless that is too small to read."""
    found = [
        _lain(wide, tall, words, size, beside=beside) for size in SHEETS for beside in (True, False)
    ]
    small = max(found[:4], key=lambda lain: lain.scale)
    return small if small.scale >= SMALL else max(found, key=lambda lain: lain.scale)


def _lain(
    wide: float, tall: float, words: Sequence[str], size: tuple[float, float], *, beside: bool
) -> Layout:
    width, height = size
    columns = max(int((width - EDGE) / COLUMN), 1)
    column = (width - EDGE) / columns - EDGE
    lines = sum(len(broken(line, column, TEXT)) for line in words)
    below = min(STEP * -(-lines // columns) + EDGE, SHARE * height)
    across, down = (2, 1) if beside else (1, 2)
    free = (
        (width - (across + 1) * EDGE) / max(across * wide, 1e-9),
        (height - below - 2 * EDGE - down * TITLE) / max(down * tall, 1e-9),
    )
    scale = min(1.0, *free)
    foot = EDGE + down * (TITLE + tall * scale) + EDGE
    return Layout(size=size, beside=beside, scale=scale, foot=foot, column=column, columns=columns)


def _after(mended: Mended) -> str:
    left = "; rings: left too narrow" if mended.unmended else ""
    return f"After; hatched: leather that was added{left}"


def _list(words: Sequence[str], lain: Layout) -> list[str]:
    """Write the list in columns, as far as the sheet goes."""
    most = lain.rows * lain.columns
    lines: list[str] = []
    for left, line in zip(range(len(words) - 1, -1, -1), words, strict=True):
        parts = broken(line, lain.column, TEXT)
        if len(lines) + len(parts) > most - bool(left):
            lines.append(MORE)
            break
        lines += parts
    each = -(-len(lines) // lain.columns)
    return [
        f'<text x="{number(EDGE + k // each * (lain.column + EDGE))}" '
        f'y="{number(lain.foot + k % each * STEP)}" font-size="{TEXT}">{escaped(line)}</text>'
        for k, line in enumerate(lines)
    ]


def _panel(
    title: str, drawn: Drawn, mended: Mended | None, *, at: tuple[float, float], scale: float
) -> list[str]:
    left, top, _, _ = drawn.bounds
    outline = "".join(path_data(p, 2) for p in drawn.outline)
    x, y = at[0] - left * scale, at[1] + TITLE - top * scale
    rows = [
        f'<text x="{number(at[0])}" y="{number(at[1] + TITLE - 2)}" font-size="3.2" font-weight="bold">{title}</text>',
        f'<g transform="translate({number(x)},{number(y)}) scale({number(scale)})">',
        f'<path d="{outline}" fill="#fff" stroke="#000" stroke-width=".35"/>',
    ]
    rows += [
        f'<path d="{"".join(path_data(p, 2) for p in o.paths)}" fill="#b5b5b5" fill-rule="evenodd" '
        'stroke="#000" stroke-width=".2"/>'
        for o in drawn.openings
    ]
    if mended is not None:
        rows += _ring_marks(mended.unmended, scale)
        rows += _numbered(mended, scale)
    return [*rows, "</g>"]


def _numbered(mended: Mended, scale: float) -> list[str]:
    """Hatch each change, and lay the numbers over all of them."""
    rows = [
        f'<path d="{_area(change.added)}" fill="url(#added)" fill-rule="evenodd" stroke="#000" stroke-width=".15"/>'
        for change in mended.changes
    ]
    size, halo = number(2.4 / scale, 2), number(0.7 / scale, 2)
    rows += [
        f'<text x="{number(change.at[0], 2)}" y="{number(change.at[1] + 0.9 / scale, 2)}" font-size="{size}" '
        f'font-weight="bold" text-anchor="middle" stroke="#fff" stroke-width="{halo}" paint-order="stroke">{k}</text>'
        for k, change in enumerate(mended.changes, start=1)
    ]
    return rows


def _ring_marks(left: Iterable[Unmended], scale: float) -> list[str]:
    """Ring the places that are too narrow still."""
    radius, line = number(1.5 / scale, 2), number(0.35 / scale, 2)
    return [
        f'<circle cx="{number(u.at[0], 2)}" cy="{number(u.at[1], 2)}" r="{radius}" fill="none" '
        f'stroke="#000" stroke-width="{line}"/>'
        for u in left
    ]


def _area(area: Area) -> str:
    rings = shapely.get_rings(shapely.get_parts(np.array([area], dtype=object)))
    return "".join(_ring(shapely.get_coordinates(ring)) for ring in rings)


def _ring(points: FloatArray) -> str:
    return "M" + "L".join(f"{number(x, 2)},{number(y, 2)}" for x, y in points.tolist()) + "Z"


def _words(report: Report) -> Sequence[str]:
    """Give the list line by line: how much was done, what was left and why, then place by place."""
    mended = report.mended
    if mended is None:
        return ()
    hows = Counter(DONE[c.how] for c in mended.changes)
    done = ", ".join(f"{count} {how}" for how, count in hows.items())
    said = [f"{counted(len(mended.changes), 'change')}{f': {done}' if done else ''}."]
    if mended.unmended:
        said.append(f"Not mended: {counted(len(mended.unmended), 'place')}.")
    if mended.advice:
        said.append(mended.advice)
    if mended.changes:
        said.append("Width before and after, mm; lost: area, mm2 (number of the opening).")
    for why, run in groupby(enumerate(mended.changes, start=1), key=lambda row: row[1].why):
        rows = list(run)
        if len(rows) == 1:
            k, c = rows[0]
            said.append(f"{k}: {why} {_grew(c)}{_lost(c)}")
        else:
            said.append(why)
            said += [f"{k}: {_grew(c)}{_lost(c)}" for k, c in rows]
    for why in dict.fromkeys(u.why for u in mended.unmended):
        said.append(f"Not mended, since {why} (place, width of that wanted, mm):")
        said += [_still(u) for u in mended.unmended if u.why == why]
    return said


def _still(left: UnmendedRow) -> str:
    return f"at {left.at[0]:.1f}, {left.at[1]:.1f}: {left.width_mm:.2f} of {left.wanted_mm:.2f}"


def _grew(change: ChangeRow) -> str:
    if change.how == "fill":
        return ""
    of = "radius " if change.how in ("round", "blunt") else ""
    return f"{of}{change.before_mm:.2f} to {change.after_mm:.2f}, "


def _lost(change: ChangeRow) -> str:
    if change.how == "blunt":
        return f"cut away {sum(-row.area_mm2 for row in change.lost):.1f}"
    rows = sorted(change.lost, key=lambda row: -row.area_mm2)
    lost = ", ".join(
        f"{row.area_mm2:.1f} ({row.opening})"
        for k, row in enumerate(rows)
        if not k or row.area_mm2 >= LEAST
    )
    return f"lost {lost}"
