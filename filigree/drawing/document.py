"""Document: an SVG document opened for walking, and what is found on the way."""

import re
from collections import Counter
from dataclasses import dataclass, field
from typing import Literal
from xml.etree.ElementTree import Element

from filigree.drawing.gradients import Gradient, read_gradient
from filigree.drawing.model import Skipped
from filigree.drawing.styles import INITIAL, Sheets, Style, read_sheets, styled
from filigree.drawing.transform import Box, Matrix
from filigree.errors import FiligreeError
from filigree.geometry.types import XY
from filigree.job import Reading

REFERENCE = re.compile(r"""\s*url\(\s*["']?\s*#([^"')]+?)\s*["']?\s*\)""")


@dataclass(frozen=True, slots=True, eq=False)
class Clip:
    """A clip path, mask or viewport that cuts an element.

    Attributes:
        shape: `clipPath` or `mask` element, the box of a viewport, or the item whose fill a pattern paints.
        matrix: user space it is in.
        target: element it cuts, for units of that element's box.
        style: style of the target.
        part: which of an item's paints a pattern stands for.
    """

    shape: "Element | Box | Item"
    matrix: Matrix
    target: Element
    style: Style
    part: Literal["fill", "stroke"] = "fill"


@dataclass(frozen=True, slots=True, eq=False)
class Context:
    """What the groups round an element add to it; `px` is a CSS px of the page in mm."""

    viewport: XY
    px: float
    opacity: float = 1.0
    clips: tuple[Clip, ...] = ()
    says: Literal["", "open", "keep"] = ""
    group: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Item:
    """A drawn shape.

    Attributes:
        element: where it comes from.
        pieces: first piece in the pen and the one after its last.
        runs: first subpath and the one after its last.
        matrix: from its user space to the page.
        style: what it is painted with.
        context: opacity, clips and wishes of the groups round it.
        closed: True when a subpath ends where it starts.
    """

    element: Element
    pieces: tuple[int, int]
    runs: tuple[int, int]
    matrix: Matrix
    style: Style
    context: Context
    closed: bool = True


@dataclass(slots=True)
class Document:
    """A document being walked: its parts, and what was counted and left out so far."""

    name: str
    root: Element
    sheets: Sheets
    ids: dict[str, Element]
    skipped: Counter[Skipped] = field(default_factory=Counter)
    copies: int = 0
    most: Reading = field(default_factory=Reading)
    parents: dict[Element, Element] = field(default_factory=dict)
    gradients: dict[Element, Gradient | None] = field(default_factory=dict)

    def skip(self, what: str, why: str) -> None:
        """Note something left out."""
        self.skipped[Skipped(what=what, why=why)] += 1

    def refuse(self, what: str, remedy: str) -> FiligreeError:
        """Name a limit that the drawing goes over."""
        return FiligreeError(what, remedy=remedy, where=self.name)

    def referred(self, text: str) -> Element | None:
        """Element that a `url(#id)` names; None for none, or one that is not there."""
        found = REFERENCE.match(text)
        return self.ids.get(found[1]) if found else None

    def style_of(self, element: Element) -> Style:
        """Style of an element where it stands, as gradients, patterns, markers and masks take it."""
        if not self.parents:
            self.parents.update((child, above) for above in self.root.iter() for child in above)
        chain = [element]
        while chain[-1] in self.parents:
            chain.append(self.parents[chain[-1]])
        style = INITIAL
        for link in reversed(chain):
            style = styled(link, style, self.sheets)
        return style

    def gradient(self, element: Element) -> Gradient | None:
        """Read a gradient, once each; None when it has no stops."""
        if element not in self.gradients:
            self.gradients[element] = read_gradient(element, self.ids, self.sheets, self.style_of)
        return self.gradients[element]


def open_document(root: Element, name: str, most: Reading) -> Document:
    """Prepare a document for walking."""
    ids: dict[str, Element] = {}
    for element in root.iter():
        if "id" in element.attrib:
            ids.setdefault(element.attrib["id"], element)
    document = Document(name=name, root=root, sheets={}, ids=ids, most=most)
    document.sheets = read_sheets(root, document.skip)
    return document
