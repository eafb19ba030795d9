"""Paints: colours, read from any form that style sheets know, and their lightness."""

from dataclasses import dataclass
from functools import lru_cache

RGB = tuple[float, float, float]
BLACK: RGB = (0.0, 0.0, 0.0)


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

    def towards(self, other: "Paint", share: float) -> "Paint":
        """The paint a share of the way to another, as gradients change."""
        red, green, blue = (
            a + share * (b - a) for a, b in zip(self.colour, other.colour, strict=True)
        )
        return Paint((red, green, blue), self.alpha + share * (other.alpha - self.alpha))


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
