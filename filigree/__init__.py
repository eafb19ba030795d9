"""From a drawing to the plies of a lined filigree leather piece: what to cut, whether it holds, how it will look.

A piece in three lines:

    from pathlib import Path
    from filigree.pipeline import make
    piece = make(Path("vine.svg"), Path("vine-cut"))  # writes every file; piece.holds says whether it may be cut

The same with settings, and nothing written:

    from filigree.job import Job, with_overrides
    from filigree.pipeline import plan
    job = with_overrides(Job(), {"face.thickness": "5-6 oz", "cut.way": "laser"})
    piece = plan(Path("vine.svg"), job)
    for finding in piece.report.findings:
        print(finding.severity, finding.say)

Where things are:

    filigree.pipeline   `plan`, `make`, `check`, `colours`: the whole road, and the public names
    filigree.job        `Job`, the settings of a piece, and `limits_of`, what follows from them
    filigree.drawing    `read.read`: an SVG, a scan or a photo to a drawing
    filigree.regions    `divide.divide`: the fields; `background.choose.choose`: which come out
    filigree.pattern    `pattern_of`: outline, openings and land
    filigree.measure    `measure`: every width of the face, once
    filigree.checks     `judge`: measures and limits to findings
    filigree.mend       `mend.mend`: the least leather that makes the face hold
    filigree.plies      `build.build`: what is cut, ply by ply
    filigree.output     `written.written`: the files of a piece, one module a format
    filigree.errors     `FiligreeError`: what the owner of the input can put right

Lengths are mm, y down from the page's top left; areas say so in their names. Nouns are frozen, verbs are functions without
state. This module imports nothing, so that the command line starts quickly. `scripts/example.py` of the project walks
the road step by step.
"""

__version__ = "0.1.0"
