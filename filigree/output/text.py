"""The report for a terminal: the verdict first, then what is wrong, worst first."""

from filigree.checks.words import mm_up
from filigree.output.folded import folded
from filigree.output.leftout import left_out
from filigree.output.opened import opened_said
from filigree.output.pulled import load_said
from filigree.output.report import FindingRow, Report
from filigree.units import counted, mm_down


def report_text(report: Report, *, most: int = 30) -> str:
    """Write the verdict, the face it is for and at most `most` findings."""
    face = report.face
    assumed = " (assumed)" if face.assumed else ""
    lines = [
        report.verdict,
        f"  face {face.thickness}{assumed}, cut by {face.way}: bridges wanted {mm_up(face.bridge_wanted_mm)} mm ({face.why})",
        f"  {counted(len(report.regions), 'field')}, {opened_said(report)}",
    ]
    if report.drawing.scale_from:
        lines.append(
            f"  page {report.drawing.width_mm:g} x {report.drawing.height_mm:g} mm, scale from {report.drawing.scale_from}"
        )
    lines += [f"  {line}" for line in left_out(report)]
    if report.findings:
        told = folded(report.findings)
        lines.append("")
        for number, finding, behind in told[:most]:
            lines += [_row(number, finding), *([f"       and {behind}"] if behind else [])]
        if len(told) > most:
            lines.append(f"  and {len(told) - most} more in report.json")
    if report.section is not None:
        lines.append(
            f"  weakest section {mm_down(report.section.width_mm, 1)} mm, "
            f"{int(100 * report.section.share)} % of the full width"
        )
    if report.load is not None:
        lines.append(f"  {load_said(report)}")
    return "\n".join(lines)


def _row(number: int, finding: FindingRow) -> str:
    x, y = finding.at
    why = f" [{finding.why}]" if finding.why else ""
    return f"  {number:3d}  {finding.severity:7s} {finding.check:10s} at ({x:.1f}, {y:.1f})  {finding.say}{why}"
