"""Linings: which ply suits which need, in the trade's careful wording (handbook 3.2, 3.3, 3.4, 3.5)."""

import math
from collections.abc import Mapping

from filigree.job import Kind, Need, default
from filigree.plies.stack import Stack, before_hardening

SUITS: Mapping[Need, str] = {
    "grip": "Suede as the backing, nap out: it grips cloth.",
    "pale clothes": (
        "An undyed or sealed veg-tan backing; dyed suede and dyed flesh rub off. "
        "Rub-test dry and damp before delivery."
    ),
    "metal": (
        "By custom veg-tan goes next to metal; keep both dry, lacquer brass, do not store tools in the piece. "
        "Fats in any oiled leather turn copper and brass green."
    ),
    "body": "A stiffening ply between, veg 3-5 oz or leather board: stiffness rises with the cube of the bonded stack.",
    "light": "Pigskin of 0.5 to 0.8 mm: dense for its thickness, with a soft hand.",
    "supple": "Suede on suede without a stiff core: it bends freely.",
    "draws a tool": "Smooth veg-tan, never nap: nap holds grit and moisture.",
}
NEEDS_OF: Mapping[Kind, tuple[Need, ...]] = {
    "armour": ("body",),
    "bag": ("light",),
    "belt": ("grip", "supple"),
    "book cover": ("light",),
    "bracer": ("body",),
    "case": ("body",),
    "costume": ("light", "pale clothes"),
    "holster": ("draws a tool", "metal"),
    "mask": ("light",),
    "strap": ("grip",),
    "wallet": ("light",),
}


def suits(kind: Kind, needs: tuple[Need, ...]) -> tuple[str, ...]:
    """Say which lining suits the needs of a piece: those named, else those of its use."""
    wanted = needs or NEEDS_OF.get(kind, ())
    return tuple(f"{need}: {SUITS[need]}" for need in dict.fromkeys(wanted))


def edge(found: Stack) -> str:
    """Say how thick the edge gets, and whether to skive."""
    low, high = found.thickness.low, found.thickness.high
    if found.plies < default("skive.plies"):
        return (
            f"{found.plies} plies meet at the edge, {low:.2f} to {high:.2f} mm: no need to skive."
        )
    return (
        f"{found.plies} plies meet at the edge, {low:.2f} to {high:.2f} mm: skive the backing 5 to 10 mm wide "
        "to half its thickness, from the flesh side."
    )


def hardening(length: float, shrink: float | None = None) -> str:
    """Say how large to cut a ply that is hardened by heat so that it ends at `length` mm."""
    share = default("shrink") if shrink is None else shrink
    return (
        f"Harden before cutting to size: it shrinks by about {100 * share:.0f} % along and across, so a length of "
        f"{length:.0f} mm wants {math.ceil(before_hardening(length, share)):.0f} mm. Test a scrap; never harden a face after cutting."
    )
