"""Options that set up a job, shared by every command that works on a piece."""

import functools
import os
import re
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from filigree.cli.usage import readable, sought
from filigree.errors import FiligreeError

if TYPE_CHECKING:
    from filigree.job import Job

FILE = click.Path(path_type=Path, readable=False)  # what cannot be read is told by who reads it
_LENGTHS = {  # option: key of the job
    "width": "sheet.width",
    "height": "sheet.height",
    "art_width": "sheet.art_width",
    "art_height": "sheet.art_height",
    "rim": "sheet.rim",
    "gap": "limits.gap",
}
_PLAIN = {
    "cut": "cut.way",
    "rim_shape": "sheet.rim_shape",
    "dark": "choose.dark",
    "face_colour": "face.colour",
}
_JOB_FILE = "filigree.job_file"
_LARGEST_NUMBER = 10_000_000

_OPTIONS = (
    click.option(
        "--job",
        "job_file",
        type=FILE,
        metavar="FILE",
        help="Settings; default: job.toml beside ART.",
    ),
    click.option(
        "--face", metavar="THICKNESS", help='Thickness of the face: "4-5 oz", "9 iron", "2.4 mm".'
    ),
    click.option("--face-colour", metavar="COLOUR", help="Colour of the face, by name or #rrggbb."),
    click.option(
        "--inlay", metavar="THICKNESS|COLOUR", multiple=True, help="The ply behind the openings."
    ),
    click.option(
        "--backing", metavar="THICKNESS|COLOUR", multiple=True, help="The ply behind the inlay."
    ),
    click.option("--cut", type=click.Choice(["knife", "laser"]), help="How the leather is cut."),
    click.option(
        "--width", metavar="LENGTH", help='Width of the drawing\'s page: "210 mm", "8.25 in".'
    ),
    click.option("--height", metavar="LENGTH", help="Height of the drawing's page."),
    click.option(
        "--art-width", metavar="LENGTH", help="Width of what is drawn, instead of the page."
    ),
    click.option(
        "--art-height", metavar="LENGTH", help="Height of what is drawn, instead of the page."
    ),
    click.option(
        "--open",
        "opened",
        metavar="N,N",
        multiple=True,
        help="Fields to open, as numbered on the proof.",
    ),
    click.option(
        "--keep",
        "kept",
        metavar="N,N",
        multiple=True,
        help="Fields to keep, as numbered on the proof.",
    ),
    click.option(
        "--dark", type=click.Choice(["leather", "cut"]), help="What dark areas of the drawing are."
    ),
    click.option(
        "--rim", metavar="LENGTH", help="Give art without an outline one: an even offset round it."
    ),
    click.option(
        "--rim-shape", type=click.Choice(["round", "rectangle"]), help="Shape of that rim."
    ),
    click.option(
        "--gap",
        metavar="LENGTH",
        help="Widest break in a line that is closed; default: 1 mm, most: 5.",
    ),
    click.option(
        "--marks", metavar="WxH", help="Photo: mm between the middles of the corner marks."
    ),
    click.option(
        "--load", metavar="x|y|ANGLE", help="Direction of pull; also finds what works hardest."
    ),
)


def job_options(command: Callable[..., int]) -> Callable[..., int]:
    """Add the options of a job to a command that takes `art`; it gets `job`, ready made.

    The nearest decorator to the function.
    """
    return _with_job(command, sought)


def job_options_or_folder(command: Callable[..., int]) -> Callable[..., int]:
    """As `job_options`, for a command whose `art` may be a folder of drawings too."""
    return _with_job(command, lambda art: readable(art) if art.is_dir() else sought(art))


def _with_job(command: Callable[..., int], found: Callable[[Path], Path]) -> Callable[..., int]:
    names = _names()

    @functools.wraps(command)
    def with_job(art: Path, **values: Any) -> int:
        ours = {name: values.pop(name) for name in names}
        click.get_current_context().meta[_JOB_FILE] = ours["job_file"]
        return command(art=found(art), job=job_of(art, **ours), **values)

    for option in reversed(_OPTIONS):
        with_job = option(with_job)
    return with_job


def job_file_given() -> Path | None:
    """Give the file named with --job on the command line that runs."""
    given: Path | None = click.get_current_context().meta.get(_JOB_FILE)
    return given


def job_of(art: Path, *, job_file: Path | None, **options: Any) -> "Job":
    """Load the settings that belong to a drawing and put the options over them.

    Raises:
        FiligreeError: a settings file or an option that cannot be used.
    """
    from filigree.job import Job, load_job, with_overrides  # brings numpy and shapely

    beside = (art if art.is_dir() else art.parent) / "job.toml"
    path = job_file or (beside if os.path.lexists(beside) else None)
    job = load_job(path) if path else Job()
    return with_overrides(job, _settings(options), where="options")


def numbers_in(texts: tuple[str, ...], *, where: str) -> tuple[int, ...]:
    """Read lists of field numbers: "3,7".

    Raises:
        FiligreeError: something in them is no number from 1 up.
    """
    numbers: list[int] = []
    for word in re.split(r"[,\s]+", ",".join(texts).strip(", ")):
        if not word:
            continue
        if not (word.isascii() and word.isdigit()) or not 1 <= int(word[:9]) <= _LARGEST_NUMBER:
            raise FiligreeError(
                f"'{word[:40]}' is no number of a field", remedy="write it like 3,7", where=where
            )
        numbers.append(int(word[:9]))
    return tuple(numbers)


def sides_of(text: str, *, where: str) -> tuple[float, float]:
    """Read a width and a height: "180x250", in mm unless it says otherwise.

    Raises:
        FiligreeError: it is no size.
    """
    from filigree.units import parse_length

    sides = re.split(r"[x\u00d7]", text.lower())
    if len(sides) != 2:
        raise FiligreeError(
            f"'{text[:40]}' is no size", remedy="write it like 180x250", where=where
        )
    return parse_length(sides[0], where=where), parse_length(sides[1], where=where)


def share_of(text: str, *, where: str, most: float) -> float:
    """Read a share of a whole, 0 to 1, written in percent: "30%" or "30".

    Raises:
        FiligreeError: it is none, more than `most`, or a bare figure under 1, which may be meant either way.
    """
    found = re.fullmatch(r"([0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)\s*(%|percent)?", text.strip().lower())
    share = float(found[1].replace(",", ".")) / 100 if found else -1.0
    if found and found[2] is None and 0 < share < 0.01:
        raise FiligreeError(
            f"'{text[:40]}' may be meant as {100 * share:g} % or as {100 * share:.0%}",
            remedy=f"write {100 * share:.0%}, or {100 * share:g}%",
            where=where,
        )
    if not 0 <= share <= most:
        raise FiligreeError(
            f"'{text[:40]}' is no share from 0 to {most:.0%}",
            remedy="write it in percent, like 30%",
            where=where,
        )
    return share


def _names() -> list[str]:
    """Parameter names of the shared options."""

    def probe() -> None:
        """Hold the options long enough to be asked."""

    for option in _OPTIONS:
        probe = option(probe)
    return [p.name for p in click.command(probe).params if p.name]


def _settings(options: dict[str, Any]) -> dict[str, Any]:
    """Options as settings by dotted key."""
    from filigree.colour.palette import hex_of
    from filigree.units import is_nothing, parse_length, parse_thickness

    out: dict[str, Any] = {}
    for name, key in _LENGTHS.items():
        if options[name] is not None:
            where = "--" + name.replace("_", "-")
            none = name == "gap" and is_nothing(options[name])
            out[key] = 0.0 if none else parse_length(options[name], where=where)
    out |= {key: options[name] for name, key in _PLAIN.items() if options[name] is not None}
    if options["face_colour"] is not None:
        hex_of(options["face_colour"], where="--face-colour")
    if options["face"] is not None:
        parse_thickness(options["face"], where="--face")
        out["face.thickness"] = options["face"]
    for ply in ("inlay", "backing"):
        for text in options[ply]:
            out |= _thickness_or_colour(ply, text)
    for name, key in (("opened", "open"), ("kept", "keep")):
        if options[name]:
            out[f"choose.{key}_numbers"] = numbers_in(options[name], where=f"--{key}")
    if options["marks"] is not None:
        out["scan.marks"] = sides_of(options["marks"], where="--marks")
    if options["load"] is not None:
        out |= {"use.pull": _pull(options["load"]), "use.work": "always"}
    return out


def _thickness_or_colour(ply: str, text: str) -> dict[str, str]:
    """A text with a figure in it is a thickness, unless it is `#rrggbb`; a word is a colour."""
    from filigree.colour.palette import hex_of
    from filigree.units import parse_thickness

    if text.startswith("#") or not any(c.isdigit() for c in text):
        hex_of(text, where=f"--{ply}")
        return {f"{ply}.colour": text.strip()}
    parse_thickness(text, where=f"--{ply}")
    return {f"{ply}.thickness": text}


def _pull(text: str) -> str:
    if text in {"x", "y"}:
        return text
    try:
        angle = float(text)
    except ValueError:
        angle = float("nan")
    if not abs(angle) <= 360:
        raise FiligreeError(
            f"'{text[:40]}' is no direction",
            remedy="write x, y or an angle in degrees",
            where="--load",
        )
    return f"{angle:g}"
