"""Words of the printed papers, in one place so that another language is one more table."""

from typing import Final

ENGLISH: Final = {
    "templates.title": "{piece}: {ply}",
    "templates.sheet": "sheet {code} of {rows} x {columns}",
    "templates.scale": "Print at 100 %, no fit, no borderless. Both bars must measure 100 mm, the square 50 mm.",
    "templates.reject": "Off by more than 0.5 mm? Give the two measured lengths as [paper] bar_across and bar_along.",
    "templates.mirrored": "MIRRORED: for the flesh side. These words read the right way round.",
    "templates.straight": "Seen from the grain side. Not mirrored.",
    "templates.corrected": "Scale corrected for this printer.",
    "templates.map": "Lay the crosses of neighbouring sheets on each other.",
    "bar": "100 mm",
    "square": "50 mm",
}


def words(key: str, **values: object) -> str:
    """Give one text of the catalogue with its values filled in.

    >>> words("templates.sheet", code="1-2", rows=1, columns=2)
    'sheet 1-2 of 1 x 2'
    """
    return ENGLISH[key].format(**values)
