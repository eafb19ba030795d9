"""SVG of the plies: true size in mm, one group a kind of cut, thin lines and nothing else.

Width, height and viewBox are in mm, so one unit is one mm; there are no transforms, no fills and no colours
that would stand for anything. The order of the paths is the order of the cuts.
"""

from collections.abc import Sequence

from filigree.output.markup import escaped, number, path_data
from filigree.plies.model import Cut, Ply

LINE = 'fill="none" stroke="#000000" stroke-width="0.1"'


def ply_svg(ply: Ply) -> bytes:
    """Write one ply as an SVG file, UTF-8."""
    return _ply_file(ply, [_lines(cut) for cut in ply.cuts])


def ply_files(plies: Sequence[Ply]) -> dict[str, bytes]:
    """Write each ply, and after them the overview `plies.svg`, every path once; nothing without plies."""
    written = [[_lines(cut) for cut in ply.cuts] for ply in plies]
    files = {ply.file: _ply_file(ply, lines) for ply, lines in zip(plies, written, strict=True)}
    if plies:
        files["plies.svg"] = _overview(plies, written)
    return files


def _ply_file(ply: Ply, written: Sequence[str]) -> bytes:
    groups = [_group(cut.name, lines) for cut, lines in zip(ply.cuts, written, strict=True)]
    return _file(ply.size, ply.title, _about(ply), groups)


def _overview(plies: Sequence[Ply], written: Sequence[Sequence[str]]) -> bytes:
    """Write all plies over one another, a group a ply."""
    size = (max(p.size[0] for p in plies), max(p.size[1] for p in plies))
    groups: list[str] = []
    for ply, cuts in zip(plies, written, strict=True):
        name = ply.file.removesuffix(".svg")
        groups += [
            f'<g id="{escaped(name)}">',
            f"<title>{escaped(ply.title)}</title>",
            f"<desc>{escaped(_about(ply))}</desc>",
            *(
                _group(f"{name}-{cut.name}", lines)
                for cut, lines in zip(ply.cuts, cuts, strict=True)
            ),
            "</g>",
        ]
    about = "Every ply of the piece on one sheet; cut from the files of the single plies."
    return _file(size, "All plies", about, groups)


def _about(ply: Ply) -> str:
    """Give the note of a ply, with side and mirroring where the note does not say them."""
    said = ply.note.lower()
    up = f"{ply.cut_from} side"
    side = f"from the {up}" if up not in said else ""
    mirrored = ("mirrored" if ply.mirrored else "not mirrored") if "mirrored" not in said else ""
    rest = ", ".join(part for part in (side, mirrored) if part)
    return f"{ply.note} {rest[0].upper()}{rest[1:]}." if rest else ply.note


def _file(size: tuple[float, float], title: str, about: str, groups: Sequence[str]) -> bytes:
    width, height = number(size[0]), number(size[1])
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}">'
    )
    rows = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        head,
        f"<title>{escaped(title)}</title>",
        f"<desc>{escaped(about)}</desc>",
        *groups,
        "</svg>",
    ]
    return ("\n".join(rows) + "\n").encode()


def _group(name: str, lines: str) -> str:
    return f'<g id="{escaped(name)}" {LINE}>\n{lines}</g>'


def _lines(cut: Cut) -> str:
    """Write the paths of a cut, one a line."""
    return "".join(f'<path d="{path_data(path)}"/>\n' for path in cut.paths)
