"""Cautions: which of the safety sentences apply to a job (handbook 10.2). Only those are printed."""

from collections.abc import Sequence

from filigree.job import Job
from filigree.plies.leathers import Kind

WORN = {"belt", "strap", "bag", "bracer", "costume", "mask", "wallet", "armour"}


def cautions(job: Job, leathers: Sequence[Kind], *, punched: bool, loose: bool) -> tuple[int, ...]:
    """Give the numbers of the sentences that apply, in order.

    Args:
        job: way of cutting, glue, use.
        leathers: kind of each ply.
        punched: round punches are asked for.
        loose: loose parts are glued on.
    """
    laser, kind, needs = job.cut.way == "laser", job.use.kind, set(job.use.needs)
    tannages = {leather.tannage for leather in leathers}
    hardened = job.backing.hardened or bool(job.stiffener and job.stiffener.hardened)
    dyed = job.backing.colour != "natural"
    applies = {
        1: laser,
        2: laser and ("chrome" in tannages or any(leather.nap for leather in leathers)),
        3: laser and "unknown" in tannages,
        4: laser and "unknown" in tannages,
        5: laser,
        6: laser,
        7: job.glue.kind == "solvent",
        8: True,  # every lined piece is cemented and finished
        9: not laser,
        10: not laser,
        11: punched or kind in {"belt", "strap"},
        12: True,  # every lined piece has its edge sanded
        13: hardened,
        14: dyed and kind in WORN | {""},
        15: "metal" in needs or kind in {"armour", "case", "holster"},
        16: job.use.carries or kind in {"belt", "strap", "bag"},
        17: kind == "holster" or "draws a tool" in needs,
        18: kind in {"armour", "bracer", "mask"},
        19: loose and kind in {"costume", "mask", ""},
        21: True,  # every sheet carries the check
    }
    return tuple(number for number, holds in applies.items() if holds)
