"""Colour figures: sRGB, CIELAB, CIEDE2000, contrast and simulated colour vision (handbook 7).

Colours are float arrays of shape `(..., 3)`; sRGB runs from 0 to 1. The conversion to CIELAB is our own
because its white and matrix must match to give greys without colour; the difference formula is
scikit-image's.
"""

from typing import Literal

import numpy as np

from filigree.geometry.types import FloatArray

Vision = Literal["protan", "deutan", "tritan"]
VISIONS: tuple[Vision, ...] = ("protan", "deutan", "tritan")

# IEC 61966-2-1 primaries to XYZ, D65, 7 decimals; white is the sum of the columns.
_TO_XYZ = np.array(
    [
        [0.4124564, 0.3575761, 0.1804375],
        [0.2126729, 0.7151522, 0.0721750],
        [0.0193339, 0.1191920, 0.9503041],
    ]
)
_WHITE = _TO_XYZ.sum(axis=1)

# Machado, Oliveira, Fernandes 2009, severity 1, for linear RGB.
_SEEN: dict[Vision, FloatArray] = {
    "protan": np.array(
        [
            [0.152286, 1.052583, -0.204868],
            [0.114503, 0.786281, 0.099216],
            [-0.003882, -0.048116, 1.051998],
        ]
    ),
    "deutan": np.array(
        [
            [0.367322, 0.860646, -0.227968],
            [0.280085, 0.672501, 0.047413],
            [-0.011820, 0.042940, 0.968881],
        ]
    ),
    "tritan": np.array(
        [
            [1.255528, -0.076749, -0.178779],
            [-0.078411, 0.930809, 0.147602],
            [0.004733, 0.691367, 0.303900],
        ]
    ),
}


def srgb(colour: str) -> FloatArray:
    """Read `#rrggbb` as sRGB, shape `(3,)`.

    Raises:
        ValueError: it is not `#rrggbb`.
    """
    if len(colour) != 7 or not colour.startswith("#"):
        raise ValueError(f"{colour!r} is not #rrggbb")
    return np.array([int(colour[k : k + 2], 16) for k in (1, 3, 5)]) / 255


def hex_text(rgb: FloatArray) -> str:
    """Write sRGB, shape `(3,)`, as `#rrggbb`.

    >>> hex_text(srgb("#8b4513"))
    '#8b4513'
    """
    return "#" + "".join(f"{round(float(part) * 255):02x}" for part in np.clip(rgb, 0, 1))


def linear(rgb: FloatArray) -> FloatArray:
    """Undo the sRGB curve."""
    low = rgb / 12.92
    return np.where(rgb <= 0.04045, low, ((rgb + 0.055) / 1.055) ** 2.4)


def gamma(light: FloatArray) -> FloatArray:
    """Apply the sRGB curve to linear light, clipped to 0 to 1."""
    clipped = np.clip(light, 0, 1)
    return np.where(clipped <= 0.0031308, 12.92 * clipped, 1.055 * clipped ** (1 / 2.4) - 0.055)


def lab(rgb: FloatArray) -> FloatArray:
    """Convert sRGB to CIELAB under D65 (ISO/CIE 11664-4)."""
    ratio = linear(np.asarray(rgb)) @ _TO_XYZ.T / _WHITE
    knee = 6 / 29
    f = np.where(ratio > knee**3, np.cbrt(ratio), ratio / (3 * knee**2) + 4 / 29)
    x, y, z = f[..., 0], f[..., 1], f[..., 2]
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def difference(one: FloatArray, other: FloatArray) -> FloatArray:
    """CIEDE2000 of CIELAB colours (ISO/CIE 11664-6), shape `(...)`."""
    from skimage.color import deltaE_ciede2000

    return np.asarray(deltaE_ciede2000(one, other))  # type: ignore[no-untyped-call]


def luminance(rgb: FloatArray) -> FloatArray:
    """Relative luminance Y of sRGB, as WCAG 2 defines it."""
    return np.asarray(linear(np.asarray(rgb)) @ np.array([0.2126, 0.7152, 0.0722]))


def contrast(one: FloatArray, other: FloatArray) -> float:
    """Contrast ratio of two sRGB colours, 1 to 21 (WCAG 2).

    >>> round(contrast(srgb("#ff0000"), srgb("#0000ff")), 3)  # row 94
    2.149
    """
    dark, light = sorted((float(luminance(one)), float(luminance(other))))
    return (light + 0.05) / (dark + 0.05)


def seen(rgb: FloatArray, vision: Vision) -> FloatArray:
    """Simulate how a colour-blind eye sees sRGB, on linear light (Machado et al. 2009).

    >>> hex_text(seen(srgb("#ff0000"), "deutan"))  # row 95
    '#a39000'
    """
    return gamma(linear(np.asarray(rgb)) @ _SEEN[vision].T)
