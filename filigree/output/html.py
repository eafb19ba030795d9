"""Proof as one self-contained page: the drawing, and the findings beside it. Works from disk."""

from filigree.output.markup import escaped
from filigree.output.report import Report

STYLE = """
:root { color-scheme: light; font: 16px/1.5 "Bitstream Vera Sans", "DejaVu Sans", Verdana, sans-serif; }
body { margin: 0 auto; max-width: 80rem; padding: 1rem; color: #221c16; background: #faf7f1; }
main { display: grid; grid-template-columns: minmax(0, 2fr) minmax(16rem, 1fr); gap: 1.5rem; align-items: start; }
svg { width: 100%; height: auto; background: #fff; border: 1px solid #cdbfa9; }
li { margin-bottom: .6rem; }
.stop b { text-decoration: underline; }
@media (max-width: 50rem), print { main { display: block; } }
"""


def proof_html(svg: bytes, report: Report, *, title: str) -> bytes:
    """Put a proof and its findings on one page.

    Args:
        svg: the proof drawing.
        report: verdict and findings.
        title: name of the piece.

    Returns:
        HTML, UTF-8, that asks nothing of any network.
    """
    rows = "\n".join(
        f'<li class="{f.severity}"><b>{f.severity}</b>: {escaped(f.say)}</li>'
        for f in report.findings
    )
    found = f"<ol>\n{rows}\n</ol>" if rows else "<p>Nothing to mend.</p>"
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escaped(title)}: proof</title><style>{STYLE}</style></head>\n"
        f"<body><h1>{escaped(title)}</h1><p><strong>{escaped(report.verdict)}</strong></p>\n"
        f"<main><div>{svg.decode()}</div>\n<section><h2>What to do</h2>{found}</section></main></body></html>\n"
    ).encode()
