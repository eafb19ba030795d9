"""Clips: the area in which an item is seen, after its clip paths, masks and viewports."""

from dataclasses import dataclass, field, replace
from xml.etree.ElementTree import Element

import shapely

from filigree.drawing.boxes import box_matrix, element_box
from filigree.drawing.coats import OPAQUE, Coat, Tone, painted_coats, stroke_width, toned
from filigree.drawing.document import Clip, Context, Document, Item
from filigree.drawing.fills import EMPTY, only_areas
from filigree.drawing.flat import Flat, flat_of
from filigree.drawing.numbers import length
from filigree.drawing.paints import BLACK, Paint
from filigree.drawing.shades import shaded
from filigree.drawing.strokes import stroke_area
from filigree.drawing.trace import Pen, trace
from filigree.drawing.transform import Matrix, apply, compose, read_transform
from filigree.drawing.walk import inner, walk
from filigree.drawing.wishes import item_area
from filigree.geometry.types import XY, Area

FAR = 1e9  # mm and user units
DEEPEST_CLIPS = 8  # clip paths that clip one another
THROUGH = 0.5  # of a mask from which what lies under it is seen
NESTED = 10  # copies of an element that a clip within a clip costs about as much as


@dataclass(slots=True)
class Clipper:
    """Works out clip areas, each once."""

    document: Document
    flat: Flat
    tolerance: float
    known: dict[tuple[int, Matrix, int, str], Area] = field(default_factory=dict)
    inside: frozenset[int] = frozenset()  # masks and clip paths being worked out

    def seen(self, item: Item, area: Area) -> Area:
        """Part of an area that an item's clips let through."""
        for clip in item.context.clips:
            if area.is_empty:
                break
            window = self.window(clip, 0)
            if not shapely.contains(window, area):
                area = only_areas(shapely.intersection(area, window))
        return area

    def lines_seen(self, item: Item, lines: shapely.Geometry) -> shapely.Geometry:
        """Part of lines that an item's clips let through."""
        for clip in item.context.clips:
            window = self.window(clip, 0)
            if not shapely.covers(window, lines):
                lines = shapely.intersection(lines, window)
        return lines

    def window(self, clip: Clip, depth: int) -> Area:
        """Area that one clip lets through, mm."""
        key = (id(clip.shape), clip.matrix, id(clip.target), clip.part)
        if key not in self.known:
            self.known[key] = self._window(clip, depth)
            shapely.prepare(self.known[key])
        return self.known[key]

    def _window(self, clip: Clip, depth: int) -> Area:
        if isinstance(clip.shape, tuple):
            x, y, wide, high = clip.shape
            corners = [(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)]
            placed = [apply(clip.matrix, _near(corner)) for corner in corners]
            return shapely.Polygon([_near(corner) for corner in placed])
        if isinstance(clip.shape, Item):
            if clip.part == "fill":
                return item_area(clip.shape, self.flat)
            width = stroke_width(clip.shape)
            band = Coat(clip.shape, "stroke", Paint(BLACK), "none", width)
            return stroke_area(band, self.flat, self.tolerance)
        if (
            depth > DEEPEST_CLIPS
            or len(self.inside) > DEEPEST_CLIPS
            or id(clip.shape) in self.inside
        ):
            return EMPTY
        return self._element(clip, clip.shape, depth)

    def _count(self) -> None:
        """Count a clip path or mask drawn for what lies in another."""
        self.document.copies += NESTED
        if self.document.copies > self.document.most.copies:
            raise self.document.refuse(
                f"the drawing uses more than {self.document.most.copies:,} copies of its elements",
                "put fewer masks and clip paths in one another, or set [reading] copies",
            )

    def _element(self, clip: Clip, shape: Element, depth: int) -> Area:
        if self.inside:
            self._count()
        context = Context(viewport=(0.0, 0.0), px=1.0)
        style = self.document.style_of(shape)
        matrix = clip.matrix
        masks = shape.tag == "mask"
        if shape.get("maskContentUnits" if masks else "clipPathUnits") == "objectBoundingBox":
            box = element_box(self.document, clip.target, clip.style, context)
            if box is None or box[2] <= 0 or box[3] <= 0:
                return EMPTY
            matrix = compose(matrix, box_matrix(box))
        if "transform" in style and not masks:
            matrix = compose(matrix, read_transform(style["transform"]))
        pen = Pen()
        visits = inner(shape, matrix, style, context)
        if not masks:  # groups clip nothing (SVG 2, 14.3.1)
            visits = [visit for visit in visits if visit.element.tag != "g"]
        items = list(walk(self.document, visits, pen))
        flat = flat_of(trace(pen), items, self.tolerance, self.document.name)
        within = replace(self, flat=flat, inside=self.inside | {id(shape)})
        if masks:
            area = _lit(within, items, by_alpha=style.get("mask-type") == "alpha")
            area = self._in_region(area, clip, shape, context)
        else:
            area = _covered(within, items)
        for name, kind in (("clip-path", "clipPath"), ("mask", "mask")):
            further = self.document.referred(style.get(name, "none"))
            if further is not None and further.tag == kind:
                own = Clip(further, clip.matrix if masks else matrix, clip.target, clip.style)
                area = only_areas(shapely.intersection(area, self.window(own, depth + 1)))
        return area

    def _in_region(self, area: Area, clip: Clip, mask: Element, context: Context) -> Area:
        """Part of a mask inside its own region: a tenth more than the box masked unless it says otherwise."""
        by_box = mask.get("maskUnits", "objectBoundingBox") != "userSpaceOnUse"
        usual = ("-10%", "-10%", "120%", "120%") if by_box else ("", "", "", "")
        texts = [
            mask.get(key, text)
            for key, text in zip(("x", "y", "width", "height"), usual, strict=True)
        ]
        if not by_box and any(not text or "%" in text for text in texts):
            return area  # shares of the whole page, which ends everything anyhow
        try:
            x, y, wide, high = (length(text, whole=1.0) for text in texts)
        except ValueError:
            return area
        matrix = clip.matrix
        if by_box:
            box = element_box(self.document, clip.target, clip.style, context)
            if box is None or box[2] <= 0 or box[3] <= 0:
                return area
            matrix = compose(matrix, box_matrix(box))
        region = self._window(replace(clip, shape=(x, y, wide, high), matrix=matrix), 0)
        return only_areas(shapely.intersection(area, region))


def _near(point: XY) -> XY:
    """A corner, no farther out than anything that is drawn; overlays leave the floats beyond."""
    return (min(max(point[0], -FAR), FAR), min(max(point[1], -FAR), FAR))


def coat_area(coat: Coat, clipper: Clipper) -> Area:
    """Area that one coat covers on the page, clips counted in."""
    if coat.part == "fill":
        area = item_area(coat.item, clipper.flat)
    else:
        area = stroke_area(coat, clipper.flat, clipper.tolerance)
    if coat.shade is not None:
        area = shaded(area, coat.shade, coat.item, clipper.flat, clipper.tolerance)
    return clipper.seen(coat.item, area)


def _covered(clipper: Clipper, items: list[Item]) -> Area:
    """Union of what a clip path holds; paint does not matter."""
    areas = [
        clipper.seen(
            item, item_area(item, clipper.flat, rule=item.style.get("clip-rule", "nonzero"))
        )
        for item in items
    ]
    return only_areas(shapely.union_all(areas))


def _lit(clipper: Clipper, items: list[Item], *, by_alpha: bool) -> Area:
    """Where a mask lets through: light paint, less dark paint on top of it; any paint where alpha masks."""

    def tone(paint: Paint) -> Tone:
        """Paper lets through, ink does not, and nothing leaves what was there."""
        if paint.alpha * (1.0 if by_alpha else paint.lightness) >= THROUGH:
            return "paper"
        return "ink" if paint.alpha >= OPAQUE else "none"

    lit: Area = EMPTY
    for coat in toned(painted_coats(clipper.document, items), tone):
        if coat.tone == "paper":
            lit = only_areas(shapely.union(lit, coat_area(coat, clipper)))
        elif coat.tone == "ink":
            lit = only_areas(shapely.difference(lit, coat_area(coat, clipper)))
    return lit
