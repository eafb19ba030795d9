"""Palette: plain colour names for leather, and `#rrggbb` for anything else.

The values are screen colours chosen by eye (common practice, no source); nap and finish shift real
leather by several steps (handbook 7.2).
"""

import difflib
import re

from filigree.errors import FiligreeError

PALETTE: dict[str, str] = {
    "natural": "#c8a060",
    "russet": "#a8703c",
    "tan": "#b07d4b",
    "saddle": "#8b4513",
    "chestnut": "#6e3a1f",
    "dark brown": "#5c3317",
    "black": "#1c1a19",
    "charcoal": "#43403e",
    "grey": "#8a8680",
    "silver": "#b9b9b4",
    "white": "#f2ede1",
    "cream": "#e8d9b5",
    "yellow": "#d9b02c",
    "mustard": "#b98a1e",
    "gold": "#c29b3f",
    "orange": "#cc6a22",
    "rust": "#a4461f",
    "red": "#b22222",
    "crimson": "#8f1530",
    "burgundy": "#5e1624",
    "pink": "#cf7f8f",
    "purple": "#5d2f6b",
    "plum": "#6a2f4f",
    "navy": "#1f2c50",
    "blue": "#27508f",
    "sky": "#7fa6c4",
    "turquoise": "#2fa39a",
    "teal": "#1d6468",
    "green": "#2f6b3a",
    "moss": "#5e6b2f",
    "olive": "#6b6434",
    "sage": "#93a080",
}

_HEX = re.compile(r"#[0-9a-fA-F]{6}")


def hex_of(colour: str, *, where: str = "colour") -> str:
    """Give the screen colour of a name or `#rrggbb`, in lower case.

    Args:
        colour: as written.
        where: option or setting it came from, for the message.

    >>> hex_of("red"), hex_of("#40E0D0")
    ('#b22222', '#40e0d0')

    Raises:
        FiligreeError: the colour is neither a name of the palette nor `#rrggbb`.
    """
    wanted = " ".join(colour.lower().split())
    if wanted in PALETTE:
        return PALETTE[wanted]
    if _HEX.fullmatch(wanted):
        return wanted
    near = difflib.get_close_matches(wanted, PALETTE, n=1)
    hint = f"did you mean {near[0]!r}, or " if near else ""
    raise FiligreeError(
        f"{colour!r} is no colour of the palette",
        remedy=f"{hint}write it as #rrggbb; names are {', '.join(PALETTE)}",
        where=where,
    )
