"""Ink: a drawn face as SVG in mm, and a two-tone preview of the cut face."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from scripts.gallery.curves import STEP, Points, cubics
from scripts.gallery.face import Drawn, parts

LINE, VEIN = 0.35, 0.25  # mm
DAB = 2.6  # mm, largest dab of grey in a field that is to be cut out


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A finished drawing: file name, its words, its page and its lines."""

    name: str
    title: str
    says: str
    width: float
    height: float
    drawn: Drawn
    marked: bool = False  # a dab of grey in each field to be cut out
    paint: tuple[tuple[BaseGeometry, bool], ...] = ()  # layers (shape, dark), instead of lines

    def svg(self) -> str:
        """The drawing: lines, or paint in black and white."""
        if self.paint:
            tones = {True: "#000000", False: "#ffffff"}
            shapes = [f'<path fill="{tones[dark]}" d="{area(s)}"/>' for s, dark in self.paint]
            return page(self, ['<g id="paint" fill-rule="evenodd">', *shapes, "</g>"])
        return page(
            self,
            [
                group("outline", self.drawn.outline, LINE),
                group("border", self.drawn.border, LINE),
                group("lines", self.drawn.lines, LINE),
                group("veins", self.drawn.veins, VEIN),
                self._dabs(),
            ],
        )

    def _dabs(self) -> str:
        if not self.marked:
            return ""
        dabs = []
        for opening in self.drawn.openings:
            widest = shapely.maximum_inscribed_circle(opening, tolerance=0.01)
            (x, y), r = widest.coords[0], min(0.6 * widest.length, DAB)
            dabs.append(f'<circle cx="{number(x)}" cy="{number(y)}" r="{number(r)}"/>')
        return "\n".join(['<g id="open" fill="#a8a8a8" stroke="none">', *dabs, "</g>"])


def page(sheet: Sheet, groups: Iterable[str]) -> str:
    """An SVG page of the sheet's size in mm."""
    w, h = number(sheet.width), number(sheet.height)
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm" viewBox="0 0 {w} {h}">\n'
        f"<title>{sheet.title}</title>\n<desc>{sheet.says}</desc>\n"
    )
    return head + "\n".join(g for g in groups if g) + "\n</svg>\n"


def group(name: str, lines: Iterable[Points], width: float) -> str:
    """One group of thin black strokes."""
    paths = [f'<path d="{path(line)}"/>' for line in lines]
    if not paths:
        return ""
    head = f'<g id="{name}" fill="none" stroke="#000000" stroke-width="{number(width)}" stroke-linecap="round" stroke-linejoin="round">'
    return "\n".join([head, *paths, "</g>"])


def filled(name: str, shapes: Iterable[BaseGeometry], colour: str) -> str:
    """One group of filled areas without strokes, smooth edges as curves."""
    paths = [f'<path d="{area(s)}"/>' for s in shapes]
    return "\n".join(
        [f'<g id="{name}" fill="{colour}" fill-rule="evenodd" stroke="none">', *paths, "</g>"]
    )


def area(shape: BaseGeometry) -> str:
    """Path data of polygons, one closed run a ring."""
    rings = [
        np.asarray(r.coords)
        for p in parts(shape)
        if isinstance(p, Polygon)
        for r in (p.exterior, *p.interiors)
    ]
    return " ".join(path(r) for r in rings)


def path(line: Points) -> str:
    """Path data of one sampled line; a line that ends where it starts is closed."""
    line = shapely.get_coordinates(shapely.segmentize(shapely.linestrings(line), 2 * STEP))
    curves = cubics(line)
    data = [f"M{_pair(line[0])}"]
    data += ["C" + " ".join(_pair(p) for p in curve[1:]) for curve in curves]
    closed = len(line) > 3 and bool(np.all(line[0] == line[-1]))
    return "".join([*data, "Z"] if closed else data)


def number(value: float) -> str:
    """At most three decimals, no trailing zeros."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def preview(sheet: Sheet, *, inlay: str = "#a01822", leather: str = "#c9935c") -> str:
    """The cut face as it will look: land over inlay, tooling lines dark."""
    drawn = sheet.drawn
    lines = [*drawn.outline, *drawn.border, *drawn.lines]
    body = [
        filled("face", [drawn.land], leather),
        filled("openings", drawn.openings, inlay),
        group("lines", lines, LINE).replace("#000000", "#3a2010"),
        group("veins", drawn.veins, VEIN).replace("#000000", "#3a2010"),
    ]
    return page(sheet, body)


def _pair(p: Points) -> str:
    return f"{number(p[0])},{number(p[1])}"
