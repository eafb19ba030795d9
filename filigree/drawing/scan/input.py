"""Raster: an image file read, upright, grey, with what it says of its scale."""

import struct
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL import Image, UnidentifiedImageError

from filigree.drawing.scan.density import ORIENTATION, Density, aspect, densities
from filigree.drawing.source import empty
from filigree.errors import FiligreeError

MOST_MP = 100.0  # million pixels
LEAST_SIDE = 16  # pixels; a line needs more
ENDINGS = {
    "PNG": (".png",),
    "JPEG": (".jpg", ".jpeg", ".jpe", ".jfif"),
    "MPO": (".jpg", ".jpeg"),  # a phone's JPEG with a second picture for depth
    "TIFF": (".tif", ".tiff"),
    "BMP": (".bmp", ".dib"),
    "WEBP": (".webp",),
}
WHITE_IS_ZERO, PHOTOMETRIC = 0, 262
UPRIGHT = {  # EXIF orientation, and what undoes it
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
SIDEWAYS = (5, 6, 7, 8)  # orientations that exchange width and height


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Raster:
    """One upright grey picture.

    Attributes:
        name: file name without folders.
        grey: 8-bit grey picture, light is high.
        densities: what the file says of its scale, along the upright x and y.
        aspect: width over height of one pixel, when only that is known.
    """

    name: str
    grey: Image.Image
    densities: tuple[Density, ...]
    aspect: float

    @property
    def size(self) -> tuple[int, int]:
        """Width and height in pixels."""
        return self.grey.size


def load(path: Path, *, most_mp: float = MOST_MP) -> Raster:
    """Read a scan or photo: PNG, JPEG, TIFF, BMP or WebP, 1 to 16 bit, any colour model.

    Args:
        path: the picture.
        most_mp: million pixels beyond which it is refused before it is decoded.

    Raises:
        FiligreeError: not such a picture, damaged, too large, too small, floating point,
            of several pages, or empty.
    """
    try:
        kinds = tuple(f for f in ENDINGS if f != "MPO")
        with _bombs_left_to_us(most_mp), Image.open(path, formats=kinds) as image:
            _check(image, path, most_mp)
            stated, shape = densities(image), aspect(image)
            turn = image.getexif().get(ORIENTATION, 1)
            image.load()  # TIFF is turned upright on the way
            grey = _upright(_grey(image), image.getexif().get(ORIENTATION, 1))
    except Image.DecompressionBombError as error:
        raise _too_large(path.name, most_mp) from error
    except UnidentifiedImageError as error:
        if path.stat().st_size == 0:
            raise empty(path.name) from error
        raise FiligreeError(
            "this is no PNG, JPEG, TIFF, BMP or WebP picture",
            remedy="scan it again or save it as PNG",
            where=path.name,
        ) from error
    except (OSError, SyntaxError, ValueError, EOFError, struct.error, MemoryError) as error:
        raise FiligreeError(
            f"the picture is damaged or cut off ({_first_words(error)})",
            remedy="scan it again or save it afresh as PNG",
            where=path.name,
        ) from error
    if turn in SIDEWAYS:
        stated = tuple(Density(x=d.y, y=d.x, source=d.source) for d in stated)
        shape = 1 / shape
    return Raster(name=path.name, grey=grey, densities=stated, aspect=shape)


@contextmanager
def _bombs_left_to_us(most_mp: float) -> Iterator[None]:
    """Pictures too large are refused by their header with our own limit."""
    usual = Image.MAX_IMAGE_PIXELS
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        if usual is not None and most_mp * 1e6 > usual:
            Image.MAX_IMAGE_PIXELS = int(most_mp * 1e6)
        try:
            yield
        finally:
            Image.MAX_IMAGE_PIXELS = usual


def _check(image: Image.Image, path: Path, most_mp: float) -> None:
    """Refuse what cannot be read well, from the header alone."""
    name, (width, height) = path.name, image.size
    if path.suffix.lower() not in ENDINGS.get(image.format or "", ()):
        raise FiligreeError(
            f"the file holds a {image.format} picture but its name ends in '{path.suffix}'",
            remedy=f"rename it to end in {ENDINGS[image.format or 'PNG'][0]}",
            where=name,
        )
    if width * height > most_mp * 1e6:
        raise _too_large(name, most_mp, width, height)
    if min(width, height) < LEAST_SIDE:
        raise FiligreeError(
            f"the picture is only {width} x {height} pixels",
            remedy="scan the drawing at 300 dpi",
            where=name,
        )
    if getattr(image, "n_frames", 1) > 1 and image.format not in ("MPO", "JPEG"):
        raise FiligreeError(
            f"the file holds {image.n_frames} pictures",  # type: ignore[attr-defined]
            remedy="save the page that is meant as a file of its own",
            where=name,
        )
    if image.mode == "F":
        raise FiligreeError(
            "the picture holds floating-point values, whose white is unknown",
            remedy="save it with 8 or 16 bits",
            where=name,
        )


def _too_large(name: str, most_mp: float, width: int = 0, height: int = 0) -> FiligreeError:
    size = f"of {width} x {height} pixels " if width else ""
    return FiligreeError(
        f"the picture {size}is over the limit of {most_mp:g} million pixels",
        remedy="scan at a lower density (300 to 600 dpi is enough) or set pixels_mp under [reading] in job.toml",
        where=name,
    )


def _first_words(error: BaseException) -> str:
    return " ".join(str(error).split())[:80] or type(error).__name__


def _grey(image: Image.Image) -> Image.Image:
    """Eight bits of grey, clear parts over white."""
    mode = image.mode
    if mode.startswith("I"):
        return _from_deep(image)
    if mode in ("RGBA", "LA", "PA", "La", "RGBa") or "transparency" in image.info:
        clear = image.convert("RGBA")
        white = Image.new("RGBA", clear.size, (255, 255, 255, 255))
        return Image.alpha_composite(white, clear).convert("L")
    if mode == "CMYK":
        return image.convert("RGB").convert("L")
    return image if mode == "L" else image.convert("L")


def _from_deep(image: Image.Image) -> Image.Image:
    """Sixteen or more bits of grey to eight; the white point is that of the file's depth."""
    values = np.asarray(image)
    white = 65535 if values.size and int(values.max()) <= 65535 else int(np.iinfo(np.int32).max)
    scaled = (values.astype(np.float32) * np.float32(255 / white) + np.float32(0.5)).clip(0, 255)
    byte = scaled.astype(np.uint8)
    tags = getattr(image, "tag_v2", {})
    if tags.get(PHOTOMETRIC) == WHITE_IS_ZERO:
        byte = 255 - byte
    return Image.fromarray(byte)


def _upright(image: Image.Image, turn: int) -> Image.Image:
    """Apply the EXIF orientation."""
    return image.transpose(UPRIGHT[turn]) if turn in UPRIGHT else image
