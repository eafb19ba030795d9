"""Tiles: how a ply larger than the paper is parted into sheets that overlap and are put together again."""

from dataclasses import dataclass

from filigree.errors import FiligreeError
from filigree.geometry.types import XY

SIDE = 10.0  # mm: nothing that matters lies nearer to the paper's edge (handbook 8)
STRIP = 64.0  # mm: foot of a sheet, for bars, square and words
BAR_ROOM = 10.0  # mm: left of a sheet, for the upright bar
LEAST = 60.0  # mm: least window that is worth printing

ISO_A = (841.0, 1189.0)  # A0, ISO 216
OTHERS = {  # inch sizes, from memory (handbook 8)
    "letter": (215.9, 279.4),
    "legal": (215.9, 355.6),
    "tabloid": (279.4, 431.8),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Tile:
    """One sheet of paper.

    Attributes:
        row: from 1, downward.
        column: from 1, to the right.
        window: left, top, right, bottom of what it shows, mm on the ply's own sheet.
        crosses: register crosses inside the window, mm on the ply's own sheet.
    """

    row: int
    column: int
    window: tuple[float, float, float, float]
    crosses: tuple[XY, ...]

    @property
    def code(self) -> str:
        """Row and column, as printed: "2-1"."""
        return f"{self.row}-{self.column}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tiling:
    """All sheets of one ply on paper of `paper` width and height, mm."""

    paper: tuple[float, float]
    rows: int
    columns: int
    tiles: tuple[Tile, ...]


def paper_size(name: str) -> tuple[float, float]:
    """Width and height, upright, mm: ISO 216 A0 to A10, or letter, legal, tabloid.

    >>> paper_size("A4"), paper_size("a3")
    ((210.0, 297.0), (297.0, 420.0))

    Raises:
        FiligreeError: the name is not known.
    """
    wanted = name.strip().lower()
    if wanted in OTHERS:
        return OTHERS[wanted]
    if wanted[:1] == "a" and wanted[1:].isdigit() and int(wanted[1:]) <= 10:
        width, height = ISO_A
        for _ in range(int(wanted[1:])):
            width, height = float(height // 2), width
        return width, height
    raise FiligreeError(
        f"paper {name!r} is not known",
        remedy="take A4, A3, any ISO 216 size from A0, letter, legal or tabloid",
        where="[paper] size",
    )


def tiling(size: tuple[float, float], paper: str, *, overlap: float) -> Tiling:
    """Part a ply into sheets, upright or across, whichever takes fewer.

    Args:
        size: width and height of the ply's own sheet, mm.
        paper: name of the paper.
        overlap: what neighbours share, mm.

    Raises:
        FiligreeError: the paper is not known, or too small for the bars and a window.
    """
    width, height = paper_size(paper)
    best: Tiling | None = None
    for across, down in ((width, height), (height, width)):
        room = (across - 2 * SIDE - BAR_ROOM, down - 2 * SIDE - STRIP)
        if min(room) < max(LEAST, 2 * overlap) or across < 2 * SIDE + 130:
            continue
        found = _tiling(size, (across, down), room, overlap)
        if best is None or len(found.tiles) < len(best.tiles):
            best = found
    if best is None:
        raise FiligreeError(
            f"paper {paper} is too small for the 100 mm bars and a piece of the pattern",
            remedy="take A5 or larger",
            where="[paper] size",
        )
    return best


def _tiling(
    size: tuple[float, float], paper: tuple[float, float], room: tuple[float, float], overlap: float
) -> Tiling:
    columns, rows = (_count(s, r, overlap) for s, r in zip(size, room, strict=True))
    lefts = _starts(room[0], columns, overlap)
    tops = _starts(room[1], rows, overlap)
    crosses = _crosses(lefts, tops, room, size)
    tiles = []
    for row, top in enumerate(tops, start=1):
        for column, left in enumerate(lefts, start=1):
            right, bottom = min(left + room[0], size[0]), min(top + room[1], size[1])
            inside = tuple(p for p in crosses if left < p[0] < right and top < p[1] < bottom)
            tiles.append(
                Tile(row=row, column=column, window=(left, top, right, bottom), crosses=inside)
            )
    return Tiling(paper=paper, rows=rows, columns=columns, tiles=tuple(tiles))


def _count(size: float, room: float, overlap: float) -> int:
    count = 1
    while count * room - (count - 1) * overlap < size - 1e-9:
        count += 1
    return count


def _starts(room: float, count: int, overlap: float) -> list[float]:
    return [k * (room - overlap) for k in range(count)]


def _crosses(
    lefts: list[float], tops: list[float], room: tuple[float, float], size: tuple[float, float]
) -> list[XY]:
    """Two crosses on the middle of each overlap between neighbours, clear of the corners."""
    overlap_x = lefts[0] + room[0] - lefts[1] if len(lefts) > 1 else 0.0
    overlap_y = tops[0] + room[1] - tops[1] if len(tops) > 1 else 0.0
    crosses = []
    for left in lefts[1:]:
        for top in tops:
            bottom = min(top + room[1], size[1])
            crosses += [(left + overlap_x / 2, top + f * (bottom - top)) for f in (0.25, 0.75)]
    for top in tops[1:]:
        for left in lefts:
            right = min(left + room[0], size[0])
            crosses += [(left + f * (right - left), top + overlap_y / 2) for f in (0.25, 0.75)]
    return sorted(set(crosses), key=lambda p: (p[1], p[0]))
