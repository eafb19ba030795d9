"""Written: which files a piece has, and the writer of each. A new format is one line here."""

from collections.abc import Sequence
from pathlib import PurePath

from filigree.checks.finding import Finding
from filigree.drawing.model import Drawing
from filigree.job import Job, dump_job
from filigree.output.html import proof_html
from filigree.output.proof import proof_png, proof_svg
from filigree.output.report import Report, report_json
from filigree.output.svg import plies_svg, ply_svg
from filigree.pattern import Pattern
from filigree.plies.drawn import draw
from filigree.plies.model import Plies
from filigree.regions.model import Choice, RegionMap


def written(
    job: Job,
    drawing: Drawing,
    regions: RegionMap,
    choices: Sequence[Choice],
    pattern: Pattern | None,
    findings: Sequence[Finding],
    plies: Plies,
    report: Report,
    *,
    pictures: bool,
) -> dict[str, bytes]:
    """Write every file of a piece.

    Args:
        pictures: False leaves out proofs and papers.

    Returns:
        Bytes by file name, in the order in which a maker meets them.
    """
    files = {ply.file: ply_svg(ply) for ply in plies}
    if plies:
        files["plies.svg"] = plies_svg(plies)
    if pictures:
        drawn = draw(drawing, regions, choices, pattern)
        svg = proof_svg(drawn, report, face=job.face.colour, ends=[f.ends or () for f in findings])
        files["proof.svg"] = svg
        files["proof.png"] = proof_png(svg)
        files["proof.html"] = proof_html(svg, report, title=PurePath(drawing.name).stem)
    files["report.json"] = report_json(report)
    files["job.toml"] = dump_job(job).encode()
    return files
