"""Pulled: what works hardest under the pull, in one sentence for every paper and screen."""

from itertools import groupby

from filigree.output.report import Report
from filigree.output.words import words


def load_said(report: Report) -> str:
    """Say how stiff the face is and where it works hardest; empty when that was not worked out."""
    load = report.load
    if load is None:
        return ""
    if not load.hardest:
        return words("load.plain", way=load.pull, stiffness=f"{load.stiffness:.2f}")
    return words(
        "load.hardest",
        way=load.pull,
        stiffness=f"{load.stiffness:.2f}",
        places=", ".join(
            " and ".join(f"({s.at[0]:.1f}, {s.at[1]:.1f})" for s in alike)
            for _, alike in groupby(load.hardest, key=lambda s: s.rank)
        ),
    )
