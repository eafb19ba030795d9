"""Paints: reading colours, and the lightness of gradients."""

from dataclasses import dataclass
from functools import lru_cache
from xml.etree.ElementTree import Element

from filigree.drawing.numbers import length
from filigree.drawing.styles import Sheets, Style, styled

RGB = tuple[float, float, float]
BLACK: RGB = (0.0, 0.0, 0.0)
LONGEST_CHAIN = 32  # gradients that refer to one another


@dataclass(frozen=True, slots=True)
class Paint:
    """A flat colour with its opacity, 0 to 1 each."""

    colour: RGB
    alpha: float = 1.0

    @property
    def lightness(self) -> float:
        """Luma of the colour (ITU-R BT.601), 0 to 1."""
        red, green, blue = self.colour
        return 0.299 * red + 0.587 * green + 0.114 * blue

    @property
    def on_white(self) -> RGB:
        """Colour seen on white paper."""
        red, green, blue = (self.alpha * part + 1 - self.alpha for part in self.colour)
        return (red, green, blue)

    def faded(self, share: float) -> "Paint":
        """The same paint at a share of its opacity."""
        return Paint(self.colour, self.alpha * share)


def luma(colour: RGB) -> float:
    """Lightness of a colour (ITU-R BT.601)."""
    return Paint(colour).lightness


def hex_of(colour: RGB) -> str:
    """Write a colour as `#rrggbb`.

    >>> hex_of((1.0, 0.5, 0.0))
    '#ff8000'
    """
    return "#" + "".join(f"{round(min(1.0, max(0.0, part)) * 255):02x}" for part in colour)


@lru_cache(maxsize=4096)
def read_colour(text: str, current: str = "black") -> Paint | None:
    """Read a colour of any CSS form; None for `none` and for what is not a colour."""
    from tinycss2 import color4

    if text.startswith("#"):
        text = text.split()[0]
    parsed = color4.parse_color(text.split("icc-color")[0].strip())
    if parsed is None:
        return None
    if isinstance(parsed, str):  # currentcolor
        return read_colour(current) if current.lower() != "currentcolor" else Paint(BLACK)
    if parsed.space != "srgb":
        try:
            parsed = parsed.to("srgb")
        except NotImplementedError:  # spaces that the library does not convert
            return Paint(BLACK)
    red, green, blue = (min(1.0, max(0.0, float(part or 0.0))) for part in parsed.coordinates)
    return Paint((red, green, blue), min(1.0, max(0.0, float(parsed.alpha))))


def gradient_mean(
    gradient: Element, ids: dict[str, Element], sheets: Sheets, above: Style
) -> Paint | None:
    """Mean colour of a gradient over its length; None when it has no stops."""
    for _ in range(LONGEST_CHAIN):
        stops = [child for child in gradient if child.tag == "stop"]
        if stops:
            return _mean(stops, styled(gradient, above, sheets), sheets)
        after = ids.get(gradient.get("href", "")[1:])
        if after is None:
            return None
        gradient = after
    return None


def _mean(stops: list[Element], above: Style, sheets: Sheets) -> Paint:
    """Mean of piecewise linear stops over offsets 0 to 1, weighted by opacity."""
    places: list[float] = []
    paints: list[Paint] = []
    for stop in stops:
        style = styled(stop, above, sheets)
        paint = read_colour(style.get("stop-color", "black"), style.get("color", "black")) or Paint(
            BLACK
        )
        paints.append(paint.faded(_share(style.get("stop-opacity", "1"))))
        place = _share(stop.get("offset", "0"))
        places.append(max(place, places[-1]) if places else place)
    places, paints = [0.0, *places, 1.0], [paints[0], *paints, paints[-1]]
    total = [0.0, 0.0, 0.0]
    alpha = 0.0
    for left, right, first, second in zip(places, places[1:], paints, paints[1:], strict=False):
        for end in (first, second):
            weight = (right - left) / 2 * end.alpha
            alpha += weight
            total = [sum_ + weight * part for sum_, part in zip(total, end.colour, strict=True)]
    if alpha <= 0:
        return Paint(BLACK, 0.0)
    return Paint((total[0] / alpha, total[1] / alpha, total[2] / alpha), min(1.0, alpha))


def _share(text: str) -> float:
    try:
        return min(1.0, max(0.0, length(text, whole=1.0)))
    except ValueError:
        return 1.0
