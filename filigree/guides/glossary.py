"""Glossary: the words of the trade, each said in one way by help, sheets and page (handbook 11.2)."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Term:
    """One word.

    Attributes:
        word: as the tool says it.
        means: one plain sentence without its full stop.
        avoid: what else it is called; no label, option, command, key or heading says so.
    """

    word: str
    means: str
    avoid: tuple[str, ...] = ()


PIECE = (
    Term(
        word="face",
        means="the tooled ply on top, with the openings",
        avoid=("front", "top layer"),
    ),
    Term(
        word="opening",
        means="a hole cut right through the face",
        avoid=("window", "cut-out", "cutout", "void"),
    ),
    Term(
        word="bridge",
        means="a strand of face between two openings, or between an opening and the edge",
        avoid=("web", "tie", "land", "ligament", "bar", "rib"),
    ),
    Term(word="tongue", means="a strand of face held at one end", avoid=("finger", "tab")),
    Term(word="island", means="a part of the face held by nothing", avoid=("floater",)),
    Term(word="rim", means="the uncut border round all openings", avoid=("frame", "margin")),
    Term(
        word="inlay",
        means="the coloured ply seen through the openings; it lies behind the face, where a strict "
        "bookbinder would say underlay, and is not let in flush",
        avoid=("insert", "underlay"),
    ),
    Term(
        word="backing", means="the ply behind the inlay, toward the wearer", avoid=("liner", "back")
    ),
    Term(word="stiffener", means="a hidden ply that gives body", avoid=("core", "filler")),
    Term(word="ply", means="one sheet of leather in the piece", avoid=("layer",)),
    Term(word="stack", means="all plies together, with their thickness"),
    Term(
        word="grain side",
        means="the hair side of the leather",
        avoid=("right side", "top side"),
    ),
    Term(
        word="flesh side",
        means="the inner side of the leather",
        avoid=("wrong side", "bottom side"),
    ),
    Term(word="nap", means="the raised fibre of suede", avoid=("pile",)),
)
DRAWING = (
    Term(word="field", means="what a closed line of the drawing encloses"),
    Term(
        word="background",
        means="the fields round the motif; they are stamped down or cut away",
        avoid=("negative space", "negative"),
    ),
    Term(word="motif", means="what the drawing shows: it stays leather"),
    Term(word="gap", means="a break in a line that was meant to close"),
    Term(word="mark", means="grey, hatching, dots or an X that says: this field comes out"),
    Term(word="proof", means="the picture of the piece with its numbers and findings"),
)
VERDICT = (
    Term(word="limit", means="a width the workshop wants; common practice, set in job.toml"),
    Term(word="stop", means="a finding: do not cut this"),
    Term(word="caution", means="a finding: look here and decide"),
    Term(word="mend", means="to add the least leather that makes the face meet its limits"),
    Term(word="weakest section", means="the way across the face that crosses the least leather"),
)
BENCH = (
    Term(word="blank", means="a ply cut roughly, larger than the piece, to be trimmed later"),
    Term(word="pin", means="a small hole through every ply that keeps them in register"),
    Term(word="swivel-knife line", means="a cut half through the grain", avoid=("score",)),
    Term(word="bevel", means="the sloped stamping beside that cut", avoid=("emboss",)),
    Term(word="cased", means="damp and ready for tooling", avoid=("wet",)),
    Term(word="skive", means="to thin from the flesh side", avoid=("shave",)),
    Term(
        word="along",
        means="the long way: of a piece its longer side, or the way of [use] pull; of a sheet of paper, "
        "which stands upright, up and down",
    ),
    Term(word="across", means="at right angles to along"),
    Term(word="crock", means="to rub off colour", avoid=("bleed",)),
    Term(
        word="open time",
        means="the wait between spreading cement and joining",
        avoid=("drying time", "dry time"),
    ),
    Term(word="kerf", means="the width a cut takes away", avoid=("tool width",)),
    Term(word="char", means="the burned rim beside a laser's cut", avoid=("HAZ",)),
    Term(word="pitch", means="from stitch hole to stitch hole, mm", avoid=("SPI",)),
)
GLOSSARY: dict[str, tuple[Term, ...]] = {
    "The piece": PIECE,
    "The drawing": DRAWING,
    "The verdict": VERDICT,
    "The bench": BENCH,
}
FOREIGN = (  # words of sign cutting and machine control, which are not leather words (handbook 11.2)
    *("weed", "weeding", "kiss cut", "node", "nodes", "toolpath", "nest", "nesting"),
    *("plunge", "feed", "feedrate", "speed", "power", "engrave", "spindle"),
)


def avoided() -> tuple[str, ...]:
    """Give every word and phrase that names nothing in this tool, in lower case."""
    terms = (term for group in GLOSSARY.values() for term in group)
    return tuple(dict.fromkeys((*(w.lower() for t in terms for w in t.avoid), *FOREIGN)))


def glossary() -> str:
    """Write the glossary as tables of a page."""
    out = []
    for title, terms in GLOSSARY.items():
        rows = [f"| {t.word} | {t.means} | {', '.join(t.avoid)} |" for t in terms]
        head = [f"## {title}", "", "| word | means | also heard, not said here |", "|---|---|---|"]
        out.append("\n".join((*head, *rows)))
    return "\n\n".join(out)
