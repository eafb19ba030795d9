"""Tagged: numbers of findings on a picture, black for a stop, a ring for a caution, stops on top."""

from collections.abc import Iterator, Sequence

from filigree.output.markup import number
from filigree.output.report import FindingRow
from filigree.plies.drawn import Drawn
from filigree.plies.tags import DOT, Tag, number_box, place_tags

Ends = Sequence[tuple[tuple[float, float], ...]]


def tags_of(
    drawn: Drawn, findings: Sequence[FindingRow], ends: Ends, *, letters: float
) -> tuple[Tag, ...]:
    """Stand the numbers of findings side by side, clear of the numbers of the fields.

    Args:
        drawn: the fields and the bounds of the picture.
        findings: in the order of their numbers, stops first.
        ends: for each the measured width as two points, or an empty tuple.
        letters: largest letter height of a field's number on this picture, mm.
    """
    return place_tags(
        [row.at for row in findings],
        on_line=[len(end) == 2 for end in ends],
        numbers=[number_box(label, most=letters) for label in drawn.labels],
        bounds=drawn.bounds,
    )


def rising(findings: Sequence[FindingRow]) -> Iterator[int]:
    """Give the places of findings in the list in the order of drawing: cautions, then stops on top of them."""
    yield from sorted(range(len(findings)), key=lambda k: (findings[k].severity == "stop", -k))


def leader(tag: Tag, row: FindingRow) -> str:
    """Draw what ties a tag that has moved to its place, to be drawn under the tag; nothing for one that has not."""
    if tag.end is None:
        return ""
    (x0, y0), (x1, y1), (x, y) = tag.at, tag.end, tag.place
    line = f"M{number(x0, 2)},{number(y0, 2)}L{number(x1, 2)},{number(y1, 2)}"
    fill = "#000" if row.severity == "stop" else "#fff"
    dot = (
        f'<circle cx="{number(x, 2)}" cy="{number(y, 2)}" r="{DOT}" fill="{fill}" stroke="#000" stroke-width=".25"/>'
        if tag.dotted
        else ""
    )
    return (
        f'<g class="leader"><path d="{line}" fill="none" stroke="#fff" stroke-width=".7"/>'
        f'<path d="{line}" fill="none" stroke="#000" stroke-width=".25"/>{dot}</g>'
    )


def disc(number_of: int, row: FindingRow, at: tuple[float, float], radius: float) -> str:
    """Draw the numbered disc of a finding."""
    fill, ink = ("#000", "#fff") if row.severity == "stop" else ("#fff", "#000")
    x, y = number(at[0], 2), number(at[1], 2)
    return (
        f'<circle cx="{x}" cy="{y}" r="{radius}" fill="{fill}" stroke="#000" '
        f'stroke-width="0.3"/><text x="{x}" y="{number(at[1] + 0.75, 2)}" font-size="2.1" '
        f'text-anchor="middle" font-weight="bold" fill="{ink}">{number_of}</text>'
    )
