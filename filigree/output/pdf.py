"""PDF canvas in mm, y down, with the same bytes on every run."""

from io import BytesIO
from pathlib import Path as File

import numpy as np
from reportlab import __file__ as _library
from reportlab import rl_config
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from filigree.geometry.path import Path
from filigree.geometry.types import XY
from filigree.output.markup import PathMarks, path_text

PLAIN, BOLD = "Vera", "VeraBd"  # fonts shipped with the PDF library
MARKS = PathMarks("# # m", " # # l", " # # # # # # c", " h")
PAINTED = {  # by stroke and fill, the latter even-odd
    (True, False): "S",
    (False, True): "f*",
    (True, True): "B*",
    (False, False): "n",
}


class Paper:
    """A PDF that is drawn page by page; the origin is the sheet's top left, mm, y down.

    Args:
        title: title of the document.
        scale: correction of the printer, along x and y; lengths are multiplied by it.
    """

    def __init__(self, title: str, *, scale: tuple[float, float] = (1.0, 1.0)) -> None:
        for name in (PLAIN, BOLD):
            if name not in pdfmetrics.getRegisteredFontNames():
                pdfmetrics.registerFont(
                    TTFont(name, str(File(_library).parent / "fonts" / f"{name}.ttf"))
                )
        rl_config.useA85 = 0  # pages as bytes: a fifth smaller, and letters are slow to make
        self._buffer = BytesIO()
        self._canvas = Canvas(self._buffer, invariant=1, pageCompression=1)
        self._canvas.setTitle(title)
        self._canvas.setCreator("filigree")
        self._scale = scale
        self._height = 0.0

    def page(self, width: float, height: float) -> None:
        """Begin a page of this size, mm, ending the one before."""
        if self._height:
            self._canvas.showPage()
        self._canvas.setPageSize((width * mm, height * mm))
        self._height = height

    def finish(self) -> bytes:
        """End the last page and give the file."""
        self._canvas.showPage()
        self._canvas.save()
        return self._buffer.getvalue()

    def line(
        self, start: XY, end: XY, *, weight: float = 0.2, dash: tuple[float, ...] = ()
    ) -> None:
        """Draw a straight line, `weight` mm thick."""
        self._pen(weight, dash)
        self._canvas.line(*self._at(start), *self._at(end))

    def box(
        self,
        left: float,
        top: float,
        right: float,
        bottom: float,
        *,
        weight: float = 0.2,
        grey: float | None = None,
    ) -> None:
        """Draw a rectangle; `grey` (0 black, 1 white) fills it."""
        self._pen(weight, ())
        x0, y0 = self._at((left, bottom))
        x1, y1 = self._at((right, top))
        if grey is not None:
            self._canvas.setFillGray(grey)
        self._canvas.rect(x0, y0, x1 - x0, y1 - y0, stroke=1, fill=int(grey is not None))
        self._canvas.setFillGray(0)

    def path(
        self,
        paths: tuple[Path, ...],
        *,
        at: XY = (0.0, 0.0),
        weight: float = 0.25,
        dash: tuple[float, ...] = (),
        grey: float | None = None,
        colour: str = "",
        stroke: bool = True,
        zoom: float = 1.0,
    ) -> None:
        """Draw curves moved by `at` after enlarging by `zoom`; several rings fill by the even-odd rule."""
        self._pen(weight, dash)
        scale = np.array(self._scale) * mm
        origin = (at[0] * scale[0], self._height * mm - at[1] * scale[1])
        by = zoom * scale * (1, -1)
        drawn = [path_text(path.cubics * by + origin, path, MARKS) for path in paths]
        if colour:
            self._canvas.setFillColor(colour)
        elif grey is not None:
            self._canvas.setFillGray(grey)
        filled = bool(colour) or grey is not None
        drawn.append(PAINTED[stroke, filled])
        self._canvas.addLiteral(" ".join(["n", *drawn]))
        self._canvas.setFillGray(0)

    def text(
        self,
        words: str,
        at: XY,
        *,
        size: float = 3.2,
        bold: bool = False,
        grey: float = 0.0,
        centred: bool = False,
        turned: bool = False,
    ) -> None:
        """Write one line with its foot at `at`; `size` is the letter height in mm, `turned` reads upward."""
        self._canvas.setFillGray(grey)
        self._canvas.setFont(BOLD if bold else PLAIN, size * mm)
        x, y = self._at(at)
        self._canvas.saveState()
        self._canvas.translate(x, y)
        if turned:
            self._canvas.rotate(90)
        (self._canvas.drawCentredString if centred else self._canvas.drawString)(0, 0, words)
        self._canvas.restoreState()
        self._canvas.setFillGray(0)

    def width_of(self, words: str, *, size: float, bold: bool = False) -> float:
        """Width of a line of text, mm."""
        return float(pdfmetrics.stringWidth(words, BOLD if bold else PLAIN, size * mm) / mm)

    def clip(self, left: float, top: float, right: float, bottom: float) -> None:
        """Keep what follows inside a rectangle, until `unclip`."""
        self._canvas.saveState()
        shape = self._canvas.beginPath()
        x0, y0 = self._at((left, bottom))
        x1, y1 = self._at((right, top))
        shape.rect(x0, y0, x1 - x0, y1 - y0)
        self._canvas.clipPath(shape, stroke=0, fill=0)

    def unclip(self) -> None:
        """End the last `clip`."""
        self._canvas.restoreState()

    def _at(self, point: XY) -> XY:
        sx, sy = self._scale
        return float(point[0]) * sx * mm, (self._height - float(point[1]) * sy) * mm

    def _pen(self, weight: float, dash: tuple[float, ...]) -> None:
        self._canvas.setStrokeGray(0)
        self._canvas.setLineWidth(weight * mm)
        self._canvas.setLineJoin(1)
        self._canvas.setDash([d * mm for d in dash])
