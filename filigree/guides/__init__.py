"""Guides: one Markdown page a task, beside this file; figures in them come from the table of defaults.

In a page `{bridge.knife.good}` stands for that row of the table, `{widths}` for the table of widths by leather,
`{ways}` for that of the two ways of cutting and `{glossary}` for the words of the trade.
"""

import math
import re
from collections.abc import Callable
from importlib.resources import files

from filigree.errors import FiligreeError
from filigree.guides.glossary import glossary
from filigree.job.defaults import ROWS, default
from filigree.job.limits import Limits, limits_of
from filigree.job.sections import ASSUMED_FACE, Cutting, Face, Job, Way

TOPICS = {  # in the order of the list; each is NAME.md beside this file
    "drawing": "How to draw so that the face holds.",
    "knife-or-laser": "What the way of cutting changes.",
    "lining": "Which ply behind the face.",
    "colours": "Colours that read.",
    "plies": "Three-ply and hardened pieces.",
    "scanning": "From a tracing to lines.",
    "job-sheet": "The job sheet, and every symbol on sheet, proof and templates.",
    "batch": "From one piece to five hundred.",
    "files": "What each file is for.",
    "words": "Words of the trade, and what each means here.",
}
WEIGHTS = ("3-4 oz", "4-5 oz", "5-6 oz", "6-7 oz", "7-8 oz", "8-9 oz")
_COMPARED: dict[str, Callable[[Limits], float]] = {
    "bridge, good": lambda limits: limits.bridge.good,
    "bridge, stop under": lambda limits: limits.bridge.stop,
    "opening, width": lambda limits: limits.opening_width,
}
_FIGURE = re.compile(r"\{([a-z_.]+)\}")


def guide(topic: str) -> str:
    """Give a guide with its figures filled in.

    Raises:
        FiligreeError: there is no guide of that name.
    """
    if topic not in TOPICS:
        raise FiligreeError(
            f"no guide {topic[:40]!r}", remedy=f"guides are {', '.join(TOPICS)}", where="help"
        )
    page = files(__name__).joinpath(f"{topic}.md").read_text(encoding="utf-8")
    return _FIGURE.sub(lambda found: _figure(found[1]), page)


def widths() -> str:
    """Draw the table of widths by weight of leather, mm, worked out from the limits."""
    rows = [
        "| face | bridge by knife: good / stop | bridge by laser: good / stop | opening by knife | rim |",
        "|---|---|---|---|---|",
    ]
    for weight in WEIGHTS:
        knife, laser = _limits(weight, "knife"), _limits(weight, "laser")
        rows.append(
            f"| {weight} | {_wide(knife.bridge.good)} / {_wide(knife.bridge.stop)}"
            f" | {_wide(laser.bridge.good)} / {_wide(laser.bridge.stop)}"
            f" | {_wide(knife.opening_width)} | {_wide(knife.rim)} |"
        )
    return "\n".join(rows)


def ways() -> str:
    """Draw the table of what knife and laser ask for, for the face that is assumed, mm."""
    rows = [
        "| | knife | laser |",
        "|---|---|---|",
    ]
    knife, laser = _limits(ASSUMED_FACE, "knife"), _limits(ASSUMED_FACE, "laser")
    for name, of in _COMPARED.items():
        rows.append(f"| {name} | {_wide(of(knife))} | {_wide(of(laser))} |")
    rows += [
        f"| taken by the cut (kerf) | {default('kerf.knife'):g} | {default('kerf.laser'):g} |",
        f"| charred on each side | {default('char.knife'):g} | {default('char.laser'):g} |",
    ]
    return "\n".join(rows)


def _limits(weight: str, way: Way) -> Limits:
    return limits_of(Job(face=Face(thickness=weight), cut=Cutting(way=way)))


def _wide(mm: float) -> str:
    """A width to draw: one decimal, never under the limit."""
    return f"{math.ceil(10 * mm - 1e-6) / 10:.1f}"


def _figure(key: str) -> str:
    if key == "widths":
        return widths()
    if key == "ways":
        return ways()
    if key == "glossary":
        return glossary()
    row = ROWS[key]
    return f"{100 * row.value:g} %" if row.unit == "share" else f"{row.value:g}"
