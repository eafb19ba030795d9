"""Density of a scan: what the file says of its pixels' size, and whether that can be believed.

PNG pHYs, JFIF APP0, EXIF and TIFF tags 282, 283, 296 and the BMP header (handbook 8, "Image density").
"""

import math
from dataclasses import dataclass

from PIL import Image

from filigree.units import MM_PER_INCH

X_RESOLUTION, Y_RESOLUTION, RESOLUTION_UNIT = 282, 283, 296
ORIENTATION = 274
UNKNOWN = (72.0, 96.0)  # dpi that programs write when they know nothing (common practice)
NEAR = 0.015  # share: 28 per cm is how 72 dpi is written in whole dots to a cm
AGREE = 0.005  # share by which two sources may differ
LOWEST, HIGHEST = 20.0, 10000.0  # dpi; beyond, the figure is nonsense
LONGEST = 4.0  # longer over shorter side of a pixel; a fax's coarsest is 2.1, beyond is nonsense


@dataclass(frozen=True, slots=True, kw_only=True)
class Density:
    """Dots to the inch along x and y, and the field that says so."""

    x: float
    y: float
    source: str

    def in_words(self) -> str:
        """The figure and where it stands.

        >>> Density(x=300.0, y=300.0, source="JFIF").in_words()
        '300 dpi (JFIF)'
        >>> Density(x=204.0, y=98.0, source="TIFF tags").in_words()
        '204 x 98 dpi (TIFF tags)'
        """
        same = abs(self.x / self.y - 1) < 1e-9
        words = f"{self.x:.5g} dpi" if same else f"{self.x:.5g} x {self.y:.5g} dpi"
        return f"{words} ({self.source})"


def densities(image: Image.Image) -> tuple[Density, ...]:
    """Every believable density the file states, in order of trust; empty when none is.

    >>> densities(Image.new("L", (2, 2)))
    ()
    """
    stated = [reading(image) for reading in (_png, _jfif, _bmp, _tiff, _exif)]
    return tuple(d for d in stated if d is not None and _makes_sense(d))


def believable(dpi: float) -> bool:
    """True for a finite density that is none of the usual stand-ins.

    >>> believable(300.0), believable(72.009), believable(96.0), believable(0.0)
    (True, False, False, False)
    """
    if not math.isfinite(dpi) or not LOWEST <= dpi <= HIGHEST:
        return False
    return all(abs(dpi / known - 1) > NEAR for known in UNKNOWN)


def _makes_sense(stated: Density) -> bool:
    """True when both axes can be believed, together too."""
    if not (believable(stated.x) and believable(stated.y)):
        return False
    return max(stated.x, stated.y) <= LONGEST * min(stated.x, stated.y)


def agree(one: Density, other: Density) -> bool:
    """True when two statements differ by less than rounding explains."""
    return abs(one.x / other.x - 1) <= AGREE and abs(one.y / other.y - 1) <= AGREE


def aspect(image: Image.Image) -> float:
    """Width over height of one pixel, from a density without a unit; 1 when nothing is said."""
    pair = image.info.get("aspect")
    if pair is None and image.info.get("jfif_unit") == 0:
        pair = image.info.get("jfif_density")
    if not pair or not all(isinstance(v, int | float) and v > 0 for v in pair):
        return 1.0
    ratio = float(pair[1]) / float(pair[0])
    return ratio if 0.1 <= ratio <= 10 else 1.0


def _png(image: Image.Image) -> Density | None:
    if image.format != "PNG" or "dpi" not in image.info:
        return None
    x, y = image.info["dpi"]
    return Density(x=float(x), y=float(y), source="PNG pHYs")


def _jfif(image: Image.Image) -> Density | None:
    per = {1: 1.0, 2: MM_PER_INCH / 10}.get(image.info.get("jfif_unit", 0))
    if per is None or "jfif_density" not in image.info:
        return None
    x, y = image.info["jfif_density"]
    return Density(x=x * per, y=y * per, source="JFIF")


def _bmp(image: Image.Image) -> Density | None:
    if image.format != "BMP" or "dpi" not in image.info:
        return None
    x, y = image.info["dpi"]
    return Density(x=float(x), y=float(y), source="BMP header")


def _tiff(image: Image.Image) -> Density | None:
    if image.format != "TIFF":
        return None
    return _tags(getattr(image, "tag_v2", {}), "TIFF tags")


def _exif(image: Image.Image) -> Density | None:
    if image.format == "TIFF":
        return None
    return _tags(image.getexif(), "EXIF")


def _tags(tags: object, source: str) -> Density | None:
    """Density from tags 282, 283 and 296 (2 inch, also when absent; 3 cm; 1 none)."""
    get = getattr(tags, "get", None)
    if get is None:
        return None
    per = {2: 1.0, 3: MM_PER_INCH / 10}.get(get(RESOLUTION_UNIT, 2))
    x, y = _number(get(X_RESOLUTION)), _number(get(Y_RESOLUTION))
    if per is None or x is None:
        return None
    return Density(x=x * per, y=(x if y is None else y) * per, source=source)


def _number(value: object) -> float | None:
    """A rational tag as a float; None when absent or without meaning."""
    if isinstance(value, tuple):
        value = value[0] if len(value) == 1 else None
    if value is None:
        return None
    try:
        return float(value)  # type: ignore[arg-type]
    except (ValueError, TypeError, ZeroDivisionError):
        return None
