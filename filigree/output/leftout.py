"""Left out: what of the drawing is not in the piece, in the same words on screen and paper."""

from filigree.output.report import Report

SHOWN = 10  # a drawing with more holds many of a kind


def left_out(report: Report) -> list[str]:
    """Say what of the art was skipped and why, one line each."""
    skipped = report.drawing.skipped
    lines = [f"left out: {s.what} ({s.why})" for s in skipped[:SHOWN]]
    if len(skipped) > SHOWN:
        lines.append(f"and {len(skipped) - SHOWN} more left out, in report.json")
    return lines


def left_out_sentences(report: Report) -> list[str]:
    """Say the same as sentences, for paper and page."""
    return [f"{line[0].upper()}{line[1:]}." for line in left_out(report)]
