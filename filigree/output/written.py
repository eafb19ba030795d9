"""Written: which files a piece has, and the writer of each. A new format is one line here."""

from pathlib import PurePath

from filigree.job import dump_job
from filigree.output.report import Report, report_json
from filigree.output.svg import ply_files, ply_svg
from filigree.worked import Worked


def written(worked: Worked, report: Report, *, pictures: bool) -> dict[str, bytes]:
    """Write every file of a piece.

    Args:
        worked: the piece.
        report: its summary.
        pictures: False leaves out proofs and papers.

    Returns:
        Bytes by file name, in the order in which a maker meets them.
    """
    files = ply_files(worked.plies)
    if pictures:
        files |= _pictures(worked, report)
    files["report.json"] = report_json(report)
    files["job.toml"] = dump_job(worked.job).encode()
    return files


def _pictures(worked: Worked, report: Report) -> dict[str, bytes]:
    """Write proofs and papers; what draws them is imported here, a sixth of a run that wants cuts alone."""
    from filigree.output.heat import heat_svg
    from filigree.output.html import proof_html
    from filigree.output.mending import mend_svg
    from filigree.output.proof import proof_png, proof_svg
    from filigree.output.sheet import sheet_html, sheet_pdf
    from filigree.output.templates import templates_pdf
    from filigree.plies.drawn import draw
    from filigree.plies.gauge import kerf_gauge

    drawn = draw(worked.drawing, worked.regions, worked.choices, worked.cut)
    ends = [f.ends or () for f in worked.findings]
    svg = proof_svg(drawn, report, face=worked.job.face.colour, ends=ends)
    title = PurePath(worked.drawing.name).stem
    files = {
        "proof.svg": svg,
        "proof.png": proof_png(svg),
        "proof.html": proof_html(
            drawn, worked.plies, report, job=worked.job, ends=ends, title=title
        ),
    }
    if worked.mended is not None:
        before = draw(worked.drawing, worked.regions, worked.choices, worked.drawn)
        after = draw(worked.drawing, worked.regions, worked.choices, worked.pattern)
        files["mend.svg"] = mend_svg(before, after, worked.mended, report)
    if worked.load is not None:
        files["load.svg"] = heat_svg(drawn, worked.load, report)
    if worked.bench is not None:
        papers = worked.bench.papers
        files |= {paper.file: ply_svg(paper) for paper in papers}
        if worked.job.cut.way == "laser":
            gauge = kerf_gauge(worked.job)
            files[gauge.file] = ply_svg(gauge)
        files["templates.pdf"] = templates_pdf(
            (*worked.plies, *papers), worked.job.paper, piece=title
        )
        files["sheet.pdf"] = sheet_pdf(report, worked.job, drawn, piece=title)
        files["sheet.html"] = sheet_html(report, worked.job, drawn, piece=title)
    return files
