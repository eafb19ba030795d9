"""Opened: how many openings there are and how much of the face comes out, in one phrase for all that is read."""

from filigree.output.report import Report
from filigree.units import counted


def opened_said(report: Report) -> str:
    """Say how many openings come out of the face and what share of it, as cut on the grain side."""
    return f"{openings_said(report)}, {100 * report.open_share:.1f} % of the face comes out"


def openings_said(report: Report) -> str:
    """Count the openings; with a bevel, say also how far inside their lines and in how many holes they are cut."""
    count = counted(len(report.openings), "opening")
    if not report.bevel_mm:
        return count
    holes = counted(report.holes, "hole")
    return (
        f"{count}, cut {report.bevel_mm:g} mm inside the drawn lines as {holes} on the grain side"
    )
