"""Walk a document in painting order and list what is drawn: shapes with style, transform and clips.

The walk keeps its own stack, so that depth costs no recursion; `use`, `symbol`, `switch` and nested `svg`
are resolved on the way.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal
from xml.etree.ElementTree import Element

from filigree.drawing.document import REFERENCE, Clip, Context, Document, Item
from filigree.drawing.markup import FOREIGN
from filigree.drawing.numbers import length
from filigree.drawing.placing import own_transform
from filigree.drawing.shapes import SHAPES, draw_shape, with_geometry
from filigree.drawing.styles import DARKENS, INITIAL, Style, styled, unreadable
from filigree.drawing.trace import Pen
from filigree.drawing.transform import IDENTITY, Matrix, compose, fit, read_view_box
from filigree.geometry.types import XY

MOST_SEGMENTS = 1_000_000
SAYS = re.compile(r"(open|keep)(?:[-_ ]?\d+_?)?\Z", re.IGNORECASE)
QUIET = frozenset(
    {"defs", "title", "desc", "metadata", "style", "linearGradient", "radialGradient", "pattern"}
    | {
        "clipPath",
        "mask",
        "marker",
        "symbol",
        "view",
        "cursor",
        "color-profile",
        "font",
        "font-face",
    }
    | {"animate", "animateTransform", "animateMotion", "animateColor", "set", "stop", "glyph"}
)  # draw nothing where they stand
REASONS = {
    "text": "text is neither a line nor a fill; turn it into paths to have it read",
    "image": "a picture is not drawn as lines or fills",
    "foreignObject": "foreign content is not drawn as lines or fills",
    "script": "scripts are not run",
    "filter": "effects are left out; the shape is read without them",
    "blend": "colours are not mixed; it is read as laid on top",
    "video": "a film is not drawn as lines or fills",
    "audio": "sound is not drawn",
    "iframe": "foreign content is not drawn as lines or fills",
    "canvas": "foreign content is not drawn as lines or fills",
    "mesh": "a mesh has no edge to read",
}


@dataclass(frozen=True, slots=True, eq=False)
class Visit:
    """An element still to be walked."""

    element: Element
    matrix: Matrix
    above: Style
    context: Context
    depth: int = 1
    users: tuple[Element, ...] = ()
    inside: bool = False  # a symbol or svg named by a use


def walk(document: Document, visits: list[Visit], pen: Pen) -> Iterator[Item]:
    """List what is drawn, in painting order; hidden elements are passed over.

    Raises:
        FiligreeError: the drawing goes over a limit, or a `use` holds itself.
    """
    stack = list(reversed(visits))
    while stack:
        visit = stack.pop()
        tag = visit.element.tag
        if visit.depth > document.most.depth:
            raise document.refuse(
                f"elements lie more than {document.most.depth} deep in one another",
                "ungroup the drawing, or set [reading] depth",
            )
        if tag in SHAPES or tag in {"g", "a", "svg", "switch", "use"} or visit.inside:
            entered = _enter(document, visit)
            if entered is None:
                continue
            if tag in SHAPES:
                item = _draw(document, entered, pen)
                if item is not None:
                    yield item
            else:
                stack.extend(reversed(_children(document, entered)))
        elif tag not in QUIET:
            _leave_out(document, visit.element)


def _leave_out(document: Document, element: Element) -> None:
    tag = str(element.tag)
    if tag.startswith(FOREIGN):
        return  # notes of drawing programs: nothing that is seen
    if tag == "text":
        words = " ".join("".join(element.itertext()).split())
        document.skip(f"text '{words[:40]}'" if words else "text", REASONS["text"])
    else:
        document.skip(tag, REASONS.get(tag, "this is not an element of SVG that draws"))


def _enter(document: Document, visit: Visit) -> Visit | None:
    """Work out style, transform and context of an element; None when it is not shown."""
    element = visit.element
    style = styled(element, visit.above, document.sheets)
    if style.get("display") == "none":
        return None
    if why := unreadable(element.get("style", "")):
        document.skip(f"the style of {element.tag}", why)
    matrix, context = visit.matrix, visit.context
    if not (element is document.root and visit.depth == 1):
        try:
            own = own_transform(element, style, context.viewport)
            matrix = compose(matrix, own) if own is not IDENTITY else matrix
        except ValueError as error:
            document.skip(f"a transform of {element.tag}", str(error))
    if "opacity" in style:
        context = replace(context, opacity=context.opacity * share(style["opacity"]))
        if context.opacity <= 0:
            return None
    for name in ("clip-path", "mask"):
        if style.get(name, "none") not in {"none", ""}:
            context = _clipped(document, name, element, matrix, style, context)
    if style.get("filter", "none") not in {"none", ""}:
        document.skip(f"filter of {element.tag}", REASONS["filter"])
    blend = style.get("mix-blend-mode", "normal")
    if blend != "normal" and not (blend in DARKENS and element.tag in SHAPES):
        document.skip(f"mix-blend-mode {blend} of {element.tag}", REASONS["blend"])
    says, group = wish(element)
    if says:
        context = replace(context, says=says, group=group)
    return replace(visit, matrix=matrix, above=style, context=context)


def _clipped(
    document: Document, name: str, element: Element, matrix: Matrix, style: Style, context: Context
) -> Context:
    shape = document.referred(style[name])
    if shape is None or shape.tag != {"clip-path": "clipPath", "mask": "mask"}[name]:
        if not REFERENCE.match(style[name]):
            document.skip(
                f"{name} of {element.tag}",
                f"'{style[name][:40]}' is not a reference inside the drawing",
            )
        return context
    return replace(context, clips=(*context.clips, Clip(shape, matrix, element, style)))


def wish(element: Element) -> tuple[Literal["", "open", "keep"], str]:
    """What an element's id or class asks for, and the id or class itself."""
    for name in (element.get("id", ""), *element.get("class", "").split()):
        found = SAYS.match(name)
        if found:
            return ("open" if found[1].lower() == "open" else "keep"), name
    return "", ""


def share(text: str) -> float:
    """Read an opacity, 0 to 1; what cannot be read counts as 1."""
    try:
        return min(1.0, max(0.0, length(text, whole=1.0)))
    except ValueError:
        return 1.0


def _draw(document: Document, visit: Visit, pen: Pen) -> Item | None:
    style = visit.above
    if style.get("visibility", "visible") != "visible":
        return None
    first, run = len(pen.straight), len(pen.firsts)
    wrong = draw_shape(
        with_geometry(visit.element, style),
        pen,
        viewport=visit.context.viewport,
        font=float(style.get("font-size", "16") or 16),
    )
    if wrong:
        name = visit.element.get("id")
        label = f"{visit.element.tag} '{name[:40]}'" if name else str(visit.element.tag)
        document.skip(f"the rest of {label}", wrong)
    if len(pen.straight) > MOST_SEGMENTS:
        raise document.refuse(
            f"the drawing has more than {MOST_SEGMENTS:,} segments",
            "leave out what is not needed or simplify it",
        )
    if run == len(pen.firsts):
        return None
    return Item(
        visit.element,
        (first, len(pen.straight)),
        (run, len(pen.firsts)),
        visit.matrix,
        style,
        visit.context,
        any(pen.closed[run:]) or _ends_meet(pen, first),
    )


def _ends_meet(pen: Pen, first: int) -> bool:
    """Say whether the pen stands where the piece `first` began."""
    return len(pen.straight) > first and tuple(pen.numbers[first * 8 : first * 8 + 2]) == pen.at


def _children(document: Document, visit: Visit) -> list[Visit]:
    element, tag = visit.element, visit.element.tag
    if tag == "use":
        return _used(document, visit)
    if tag in {"svg", "symbol"} and visit.depth > 1:
        visit = _nested(visit)
    inner: list[Element] = list(element)
    if tag == "switch":
        inner = next(([child] for child in element if _allowed(child)), [])
    return [
        Visit(child, visit.matrix, visit.above, visit.context, visit.depth + 1, visit.users)
        for child in inner
    ]


def _allowed(element: Element) -> bool:
    """Say whether a `switch` takes this child: no foreign extension, and English or any language."""
    if str(element.tag).startswith(FOREIGN) or element.get("requiredExtensions") is not None:
        return False
    languages = element.get("systemLanguage")
    return languages is None or any(
        code.strip().lower().split("-")[0] == "en" for code in languages.split(",")
    )


def _used(document: Document, visit: Visit) -> list[Visit]:
    use = visit.element
    href = use.get("href", "").strip()
    if not href.startswith("#"):
        if href:
            document.skip("use of another file", "external references are not opened")
        return []
    target = document.ids.get(href[1:])
    if target is None:
        document.skip(f"use of '{href[1:41]}'", "the drawing holds no such element")
        return []
    if target in visit.users or use in visit.users or _holds(target, use):
        raise document.refuse(
            f"a use of '{href[1:41]}' holds itself", "take the circle out of the drawing"
        )
    document.copies += 1
    if document.copies > document.most.copies:
        raise document.refuse(
            f"the drawing uses more than {document.most.copies:,} copies of its elements",
            "draw fewer copies, or set [reading] copies",
        )
    whole, font = visit.context.viewport, float(visit.above.get("font-size", "16") or 16)
    shift = [_length(use, name, size, font, 0.0) for name, size in zip("xy", whole, strict=True)]
    matrix = compose(visit.matrix, (1.0, 0.0, 0.0, 1.0, shift[0], shift[1]))
    context = visit.context
    inside = target.tag in {"symbol", "svg"}
    if inside:  # width and height of the use go before its own
        copy = _resized(target, use)
        if target in document.sheets:
            document.sheets[copy] = document.sheets[target]
        target = copy
    return [
        Visit(target, matrix, visit.above, context, visit.depth + 1, (*visit.users, use), inside)
    ]


def _holds(target: Element, use: Element) -> bool:
    """Say whether a used group contains the use itself."""
    return len(target) > 0 and any(inner is use for inner in target.iter("use"))


def _resized(target: Element, use: Element) -> Element:
    """Copy of a symbol or svg that takes the size its use asks for."""
    copy = Element(target.tag, dict(target.attrib))
    copy.extend(list(target))
    for name in ("width", "height"):
        if name in use.attrib:
            copy.set(name, use.attrib[name])
        elif target.tag == "symbol" and name not in target.attrib:
            copy.set(name, "100%")
    if target.tag == "symbol":
        copy.attrib.pop("x", None)
        copy.attrib.pop("y", None)
    return copy


def _length(element: Element, name: str, whole: float, font: float, default: float) -> float:
    try:
        return length(element.get(name, ""), whole=whole, font=font)
    except ValueError:
        return default


def _nested(visit: Visit) -> Visit:
    """Step into the viewport of a nested svg or a used symbol."""
    element, context = visit.element, visit.context
    font = float(visit.above.get("font-size", "16") or 16)
    (wide, high) = context.viewport
    x, y = _length(element, "x", wide, font, 0.0), _length(element, "y", high, font, 0.0)
    size = (
        _length(element, "width", wide, font, wide),
        _length(element, "height", high, font, high),
    )
    matrix = compose(visit.matrix, (1.0, 0.0, 0.0, 1.0, x, y))
    if visit.above.get("overflow", "hidden") not in {"visible", "auto"}:
        box = Clip((0.0, 0.0, *size), matrix, element, visit.above)
        context = replace(context, clips=(*context.clips, box))
    view_box = read_view_box(element.get("viewBox"))
    if view_box:
        matrix = compose(matrix, fit(view_box, *size, element.get("preserveAspectRatio")))
        size = (view_box[2], view_box[3])
    return replace(visit, matrix=matrix, context=replace(context, viewport=size))


def whole_document(document: Document, matrix: Matrix, viewport: XY, px: float) -> list[Visit]:
    """What to visit for the whole drawing; `px` is a CSS px in mm."""
    return [Visit(document.root, matrix, INITIAL, Context(viewport=viewport, px=px))]


def inner(
    element: Element,
    matrix: Matrix,
    style: Style,
    context: Context,
    users: tuple[Element, ...] = (),
) -> list[Visit]:
    """What to visit for the children of one element, as for a clip path or a pattern."""
    return [Visit(child, matrix, style, context, 2, users) for child in element]
