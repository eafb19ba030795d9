"""Islands: can every loose piece of face be glued to the inlay?"""

from filigree.checks.finding import Finding
from filigree.checks.words import NOISE, mm_up, openings
from filigree.job import Limits, limits_in
from filigree.measure import EDGE, Island, Measures
from filigree.units import mm_down


def check(measures: Measures, limits: Limits) -> tuple[Finding, ...]:
    """Find the loose pieces: a stop when too small to be glued, else a caution (handbook 2.2)."""
    return tuple(_finding(island, limits_in(limits, island.at)) for island in measures.islands)


def _finding(island: Island, limits: Limits) -> Finding:
    good = (
        island.area_mm2 >= limits.island_area_mm2 - NOISE
        or island.width >= limits.island_width - NOISE
    )
    place = "beside the face" if island.within == EDGE else f"in opening {island.within}"
    part = f"Loose part {island.number} {place}"
    tie = f"tie it to the face with a bridge of {mm_up(limits.bridge.good)} mm"
    if good:
        seen = (
            f" (inlay shows through {openings(island.openings)} in it)" if island.openings else ""
        )
        say = f"{part} is held by nothing but glue{seen}: glue it down by its number, or {tie}."
    else:
        say = (
            f"{part} is too small to glue ({mm_down(island.area_mm2, 1)} mm2, "
            f"{mm_down(island.width)} mm wide): {tie}."
        )
    return Finding(
        check="island",
        severity="caution" if good else "stop",
        at=island.at,
        measured=island.area_mm2,
        wanted=limits.island_area_mm2,
        say=say,
        why=f"{mm_up(limits.island_area_mm2)} mm2, or {mm_up(limits.island_width)} mm wide",
        unit="mm2",
    )
