"""Heat picture: where a face works hardest under its pull, darker where harder, with the ranks."""

import base64
from collections.abc import Sequence
from io import BytesIO

import numpy as np

from filigree.measure.stiffness import Load
from filigree.output.markup import FONT, broken, escaped, number, path_data, polyline_data
from filigree.output.report import Report, StrandRow
from filigree.plies.drawn import Drawn

EDGE = 10.0  # mm
TEXT = 3.2  # mm
STEP = 4.6  # mm
ARROW = (2.0, 6.0, 1.2)  # mm: from the edge, length, half the width of its head
FULL = 98.0  # percentile of the intensity that is drawn black


def heat_svg(drawn: Drawn, load: Load, report: Report) -> bytes:
    """Draw the face with its stress as shades of grey and the hardest strands numbered.

    Returns:
        SVG, UTF-8, at true size in mm; the shades are one small picture inside it.
    """
    left, top, right, bottom = drawn.bounds
    lines = _words(report, right - left)
    width = right - left + 2 * EDGE
    height = bottom - top + 2 * EDGE + STEP * len(lines) + 4
    rows, columns = load.share.shape
    outline = "".join(path_data(p, 2) for p in drawn.outline)
    image = (
        f'<image x="{number(load.left)}" y="{number(load.top)}" width="{number(columns * load.step)}" '
        f'height="{number(rows * load.step)}" preserveAspectRatio="none" '
        f'transform="rotate({number(-load.turn)})" href="data:image/png;base64,{_shades(load)}"/>'
    )
    body = [
        f'<rect width="{number(width)}" height="{number(height)}" fill="#fff"/>',
        f'<g transform="translate({number(EDGE - left)},{number(EDGE - top)})">',
        image,
        f'<path d="{outline}" fill="none" stroke="#000" stroke-width=".4"/>',
        *(
            f'<path d="{"".join(path_data(p, 2) for p in o.paths)}" fill="#fff" fill-rule="evenodd" '
            'stroke="#000" stroke-width=".25"/>'
            for o in drawn.openings
        ),
        *_ranks(report),
        _arrows(drawn, load),
        "</g>",
        *(
            f'<text x="{EDGE}" y="{number(bottom - top + 2 * EDGE + 2 + k * STEP)}" font-size="{TEXT}">{escaped(line)}</text>'
            for k, line in enumerate(lines)
        ),
    ]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(width)}mm" height="{number(height)}mm" '
        f'viewBox="0 0 {number(width)} {number(height)}" font-family="{FONT}">'
        f"<title>{escaped(report.drawing.file)}: what works hardest</title>\n"
        + "\n".join(body)
        + "\n</svg>\n"
    ).encode()


def _shades(load: Load) -> str:
    from PIL import Image

    intensity = load.intensity
    held = intensity[load.share > 0.5]
    most = float(np.percentile(held, FULL)) if held.size else 1.0
    grey = 255 - np.clip(intensity / max(most, 1e-9), 0, 1) * 215
    picture = np.where(load.share > 0, grey, 255).astype(np.uint8)
    buffer = BytesIO()
    Image.fromarray(picture).save(buffer, "PNG", optimize=True)
    return base64.b64encode(buffer.getvalue()).decode()


def _ranks(report: Report) -> list[str]:
    strands = report.load.hardest if report.load is not None else ()
    return [
        f'<circle cx="{number(s.at[0], 2)}" cy="{number(s.at[1], 2)}" r="2.2" fill="#fff" stroke="#000" '
        f'stroke-width=".4"/><text x="{number(s.at[0], 2)}" y="{number(s.at[1] + 1.1, 2)}" font-size="3" '
        f'font-weight="bold" text-anchor="middle">{s.rank}</text>'
        for s in strands
    ]


def _arrows(drawn: Drawn, load: Load) -> str:
    """Two arrows beside the piece that show which way it is pulled."""
    left, top, right, bottom = drawn.bounds
    x, y = load.along
    middle = np.array([(left + right) / 2, (top + bottom) / 2])
    ways = [half / abs(v) for half, v in (((right - left) / 2, x), ((bottom - top) / 2, y)) if v]
    data = ""
    for unit in (load.along, -load.along):
        foot = middle + unit * (min(ways) + ARROW[0])
        tip = foot + unit * ARROW[1]
        side = np.array([-unit[1], unit[0]]) * ARROW[2]
        barbs = (tip - unit * 2 * ARROW[2] + side, tip, tip - unit * 2 * ARROW[2] - side)
        data += polyline_data(np.array([foot, tip])) + polyline_data(np.array(barbs))
    return f'<path id="pull" d="{data}" fill="none" stroke="#000" stroke-width=".7"/>'


def _words(report: Report, room: float) -> list[str]:
    load = report.load
    if load is None:
        return []
    head = (
        f"Pulled {load.pull}, as the arrows show. Stiffness against the uncut face {load.stiffness:.3f}; with the plies behind it bonded "
        f"{load.bonded:.3f}. Darker works harder; the numbers rank strands, equals alike, by the mean stress through each. A ranking, no promise: leather is neither elastic nor alike "
        "in all directions."
    )
    said = [head]
    said += [
        f"{_places(load.hardest, rank)} {_carried(s.share)} {s.intensity:.1f} times the mean stress of the uncut face"
        for rank, s in sorted({s.rank: s for s in reversed(load.hardest)}.items())
    ]
    return [part for line in said for part in broken(line, max(room, 130.0), TEXT)]


def _places(strands: Sequence[StrandRow], rank: int) -> str:
    """Name a place in the ranking, with how many strands share it."""
    count = sum(s.rank == rank for s in strands)
    return f"{rank}:" if count == 1 else f"{rank}, {count} strands alike: each"


def _carried(share: float) -> str:
    """Say what share of the pull a strand carries; what is too little to count is bent, not pulled.

    >>> _carried(0.004), _carried(0.1)
    ('carries under 1 % of the pull but is bent, at', 'carries 10 % of the pull, at')
    """
    if share < 0.01:
        return "carries under 1 % of the pull but is bent, at"
    return f"carries {100 * share:.0f} % of the pull, at"
