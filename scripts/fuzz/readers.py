"""Coverage-guided fuzzing of the readers of path data and of SVG; needs the extra `fuzz`.

    python scripts/fuzz/readers.py path [--minutes N] [--corpus DIR]
    python scripts/fuzz/readers.py svg [--minutes N] [--corpus DIR]
    python scripts/fuzz/readers.py parts [--minutes N] [--corpus DIR]

`parts` puts well-formed drawings together from elements, attributes and values, to come past the XML parser.

Anything but a `FiligreeError` of one line, or a read that takes over five seconds, ends the run with the input that
did it, written as `crash-...` into the current folder. Numbers that leave the floats must be refused, not
warned of, so warnings are errors. With `--corpus`, what was found worth keeping is kept there.
"""

import argparse
import sys
import tempfile
import warnings
from pathlib import Path

import atheris

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

with atheris.instrument_imports(include=["filigree.drawing", "filigree.geometry"]):
    from filigree.drawing.pathdata import draw_path
    from filigree.drawing.svg import read_svg
    from filigree.drawing.trace import Pen, trace
    from filigree.errors import FiligreeError
    from filigree.geometry.flatten import flatten
    from filigree.job import Reading, Sheet

PATHS = (
    "M1 1H9V9H1Z",
    "m1,1 2-3.5.5e1q1 2 3 4t5 6s1 2 3 4c1 2 3 4 5 6z",
    "M0 0A3 4 30 1 0 9 9a1 1 0 01.5.5L1e3-2",
)
BODIES = (
    '<g transform="rotate(3) scale(2)" style="fill:none"><circle r="3"/><use href="#a" x="1"/></g>',
    '<style>.a{stroke:red;stroke-dasharray:1 2}</style><path class="a" id="a" d="M1 1l2 3A1 1 0 0 1 4 4"/>',
    '<clipPath id="c"><rect width="4" height="4" rx="1"/></clipPath><g clip-path="url(#c)"><path d="M0 0H9V9Z"/></g>',
    '<pattern id="p" width="2" height="2"><path d="M0 0h1"/></pattern><ellipse rx="2" ry="3" fill="url(#p)"/>',
    '<symbol id="s" viewBox="0 0 2 2"><polygon points="0,0 1,1 0,1"/></symbol><use href="#s" width="3"/>',
)
FRAME = '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9" fill="none" stroke="black">{}</svg>'
LIMITS = Reading(file_mb=1, copies=50, segments=5000)
FAR = 1e9  # what the reader refuses to flatten
WORDS = (
    "M L H V C S Q T A Z e - . 1e308 nan inf <g <path <use href d= id= style= transform= /> viewBox"
)


TAGS = (
    *("path", "circle", "ellipse", "rect", "line", "polygon", "polyline", "g", "use", "symbol"),
    *("svg", "clipPath", "mask", "pattern", "marker", "switch", "defs", "text", "image", "a"),
)
NAMES = (
    *(
        "d",
        "id",
        "href",
        "style",
        "class",
        "transform",
        "viewBox",
        "points",
        "width",
        "height",
        "x",
    ),
    *("y", "r", "rx", "ry", "cx", "cy", "x1", "y2", "fill", "stroke", "stroke-width", "opacity"),
    *("stroke-dasharray", "stroke-linejoin", "stroke-linecap", "fill-rule", "clip-path", "mask"),
    *("patternUnits", "patternTransform", "preserveAspectRatio", "marker-end", "display"),
)
VALUES = (
    *("M0 0L9 9H1Z", "M1 1C2 3 4 5 6 6S1 1 2 2Q3 3 4 4T1 0A2 3 9 1 0 5 5", "#a", "#b", "#c"),
    *("url(#a)", "url(#b)", "url(#c)", "a", "b", "c", "none", "black", "white", "#f00", "0", "1"),
    *("-1", "3", "1e-9", "1e9", "1e155", "1e308", "-1e308", "nan", "50%", "2mm", "0 0 9 9", "1 2"),
    *("scale(0)", "rotate(45 1 1)", "matrix(1 2 3 4 5 6)", "scale(1e155)", "translate(1e308)"),
    *("evenodd", "miter", "round", "bevel", "square", "0,0 9,0 9,9", "fill:red;stroke:#000"),
)


SHAPES = {  # what an element needs to be seen
    "path": (
        "d",
        ["M0 0L9 9H1Z", "M1 1C2 3 4 5 6 6S1 1 2 2Q3 3 4 4T1 0A2 3 9 1 0 5 5", "M1 1h1e9"],
    ),
    "circle": ("r", ["3", "1e-9", "1e155"]),
    "polygon": ("points", ["0,0 9,0 9,9", "1 1 1 1 1 1", "0 0 1e9 5"]),
    "polyline": ("points", ["0,0 9,0 9,9 0,0", "2 2"]),
    "line": ("x2", ["5", "1e9"]),
    "use": ("href", ["#a", "#b", "#c"]),
}


def composed(data: bytes) -> bytes:
    """Turn bytes into a well-formed drawing of up to 30 elements."""
    source = atheris.FuzzedDataProvider(data)
    written, opened = [], []
    while source.remaining_bytes() > 0 and len(written) < 30:
        tag = source.PickValueInList(list(TAGS))
        name, usual = SHAPES.get(tag, ("id", ["a", "b", "c"]))
        named = {name: source.PickValueInList(usual)}
        for _ in range(source.ConsumeIntInRange(0, 6)):
            value = source.PickValueInList(list(VALUES))
            if source.ConsumeBool():
                value += f" {source.ConsumeRegularFloat():.3g}"
            named[source.PickValueInList(list(NAMES))] = value
        attributes = "".join(f' {name}="{value}"' for name, value in named.items())
        written.append(f"<{tag}{attributes}>")
        opened.append(tag)
        for _ in range(source.ConsumeIntInRange(0, len(opened))):
            written[-1] += f"</{opened.pop()}>"
    ends = "".join(f"</{tag}>" for tag in reversed(opened))
    return FRAME.format("".join(written) + ends).encode()


def read_parts(data: bytes) -> None:
    """Read a drawing put together from parts."""
    read_drawing(composed(data))


def read_path(data: bytes) -> None:
    """Draw path data; what was drawn must be flattened when it is of a size that is flattened."""
    pen = Pen()
    draw_path(data.decode("utf-8", "replace"), pen)
    drawn = trace(pen)
    if drawn.cubics.size and abs(drawn.cubics).max() <= FAR and len(drawn.straight) < 200:
        flatten(drawn.cubics, drawn.straight, 0.01)


def read_drawing(data: bytes) -> None:
    """Read a drawing; refusals are one line."""
    try:
        read_svg(data, sheet=Sheet(), most=LIMITS)
    except FiligreeError as error:
        if "\n" in str(error):
            raise ValueError("a refusal of several lines") from error


def main() -> None:
    """Fuzz one reader."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("reader", choices=["path", "svg", "parts"])
    parser.add_argument("--minutes", type=float, default=10)
    parser.add_argument("--corpus", type=Path)
    options = parser.parse_args()
    warnings.simplefilter("error")
    readers = {"path": read_path, "svg": read_drawing, "parts": read_parts}
    seeds = PATHS if options.reader == "path" else [FRAME.format(b) for b in BODIES]
    with tempfile.TemporaryDirectory() as temporary:
        corpus = options.corpus or Path(temporary, "corpus")
        corpus.mkdir(parents=True, exist_ok=True)
        for number, seed in enumerate(seeds):
            (corpus / f"seed-{number}").write_text(seed)
        words = Path(temporary, "words")
        words.write_text("".join(f'"{word}"\n' for word in WORDS.split()))
        settings = [f"-max_total_time={round(60 * options.minutes)}", "-timeout=5", "-max_len=2000"]
        settings += [f"-dict={words}", "-rss_limit_mb=2048", "-print_final_stats=1"]
        atheris.Setup([sys.argv[0], *settings, str(corpus)], readers[options.reader])
        atheris.Fuzz()


if __name__ == "__main__":
    main()
