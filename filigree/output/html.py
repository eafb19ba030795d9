"""Proof as one self-contained page: the piece in layers, and what to do beside it. Works from disk.

Without script it is a still picture with its list; nothing is asked of any network, and the page forbids it.
"""

import base64
import hashlib
from collections.abc import Sequence
from pathlib import Path

from filigree.checks.headings import together
from filigree.checks.words import mm_up
from filigree.colour.palette import hex_of
from filigree.job import Job
from filigree.output.layers import colour_style, inlay_colours, layers
from filigree.output.leftout import left_out_sentences
from filigree.output.markup import FONT, escaped, number
from filigree.output.opened import opened_said
from filigree.output.pulled import load_said
from filigree.output.report import Report
from filigree.output.tagged import Ends
from filigree.output.terms import STYLE, terms_html, terms_script
from filigree.output.todo import todo_html
from filigree.plies.drawn import Drawn
from filigree.plies.model import Plies

MARGIN = 6.0  # mm round the piece
NAMES = {
    "face": "Face",
    "inlay": "Inlay",
    "backing": "Backing",
    "stitches": "Stitch holes",
    "hardware": "Holes for hardware",
    "pins": "Pins",
    "numbers": "Numbers",
    "findings": "Weak places",
}


def proof_html(
    drawn: Drawn, plies: Plies, report: Report, *, job: Job, ends: Ends, title: str
) -> bytes:
    """Put a piece and its findings on one page.

    Args:
        drawn: the finished geometry.
        plies: the cut files.
        report: verdict and findings.
        job: colours of face and backing.
        ends: for each finding the measured width as two points, or an empty tuple.
        title: name of the piece.

    Returns:
        HTML, UTF-8, that asks nothing of any network.
    """
    style, script = _file("proof.css") + STYLE, _file("proof.js") + terms_script()
    drawing = layers(drawn, plies, report, ends)
    policy = (
        f"default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-{_digest(script)}'; "
        "base-uri 'none'; form-action 'none'"
    )
    return (
        f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escaped(title)}: proof</title><style>{style}</style></head>\n"
        f"<body><header><h1>{escaped(title)}</h1><p><strong>{escaped(report.verdict)}</strong> "
        f"{escaped(_about(report))}</p></header>\n<main><div class='drawing'>"
        f"{_picture(drawn, drawing, job, title=title)}"
        '<div class="row live" hidden><button id="closer">Closer</button>'
        '<button id="further">Further</button><button id="whole">Whole piece</button></div>'
        '<p id="told" class="told live" role="status" hidden>Point at an opening, or go through them with Tab '
        "and the arrow keys.</p></div>\n<div>"
        f"<h2>What to do</h2>{todo_html(report)}{_terms(report)}{_show(drawing)}{_colours(drawn, job)}</div></main>\n"
        f"<script>{script}</script></body></html>\n"
    ).encode()


def _picture(drawn: Drawn, drawing: Sequence[str], job: Job, *, title: str) -> str:
    left, top, right, bottom = drawn.bounds
    box = (left - MARGIN, top - MARGIN, right - left + 2 * MARGIN, bottom - top + 2 * MARGIN)
    style = colour_style(drawn, face=job.face.colour, backing=job.backing.colour)
    return (
        f'<svg viewBox="{" ".join(number(v, 2) for v in box)}" font-family="{FONT}" role="group" '
        f'tabindex="0" aria-label="{escaped(title)}: the piece" style="{style}">'
        + "\n".join(drawing)
        + "</svg>"
    )


def _about(report: Report) -> str:
    face = report.face
    assumed = " (assumed)" if face.assumed else ""
    return (
        f"Face {face.thickness}{assumed}, cut by {face.way}: bridges wanted {mm_up(face.bridge_wanted_mm)} mm, "
        f"stop under {mm_up(face.bridge_stop_mm)} mm. {opened_said(report)}. "
        f"{load_said(report)} {' '.join(left_out_sentences(report))}"
    ).rstrip()


def _terms(report: Report) -> str:
    """The words that stand in the verdict and in the first finding of each kind."""
    groups = together(report.findings)
    says = [report.findings[rows[0]].say for _, _, rows in groups]
    kinds = [f"{severity} {name}" for severity, name, _ in groups]
    return terms_html(report.verdict, _about(report), *kinds, *says)


def _show(drawing: Sequence[str]) -> str:
    boxes = "".join(
        f'<label><input type="checkbox" checked data-layer="{name}"> {words}</label>'
        for name, words in NAMES.items()
        if any(f'id="layer-{name}"' in row for row in drawing)
    )
    return f'<fieldset class="live" hidden><legend>Show</legend>{boxes}</fieldset>'


def _colours(drawn: Drawn, job: Job) -> str:
    wells = [("--face", "Face", job.face.colour)]
    wells += [(f"--inlay-{k}", f"Inlay {c}", c) for k, c in enumerate(inlay_colours(drawn))]
    rows = "".join(
        f'<label><input type="color" value="{hex_of(colour)}" data-colour="{key}"> {escaped(words)}</label>'
        for key, words, colour in wells
    )
    return f'<fieldset class="live" hidden><legend>Try colours</legend>{rows}</fieldset>'


def _file(name: str) -> str:
    return Path(__file__).with_name(name).read_text(encoding="utf-8")


def _digest(script: str) -> str:
    """Give the digest by which the page allows its one script."""
    return base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
