"""What is told when a command is not understood: one line, with the nearest name and an example."""

import os
import re
import shlex
from collections.abc import Iterable, Sequence
from pathlib import Path

import click

from filigree.errors import FiligreeError, one_line

_EXAMPLE = re.compile(r"Example: (.+)")
_PICTURES = (".svg", ".svgz", ".png", ".jpg", ".jpeg", ".tif", ".tiff", ".bmp", ".webp")
_MOST_NAMES = 2000  # of a folder that are compared with a misspelt one


def called() -> str:
    """Say how the tool was called, so that what is advised can be typed: "filigree" or "scripts/run"."""
    name = os.environ.get("FILIGREE_CALLED", "")
    return name if re.fullmatch(r"[\w./-]{1,100}", name) else "filigree"


def advised(args: Sequence[str], *, instead: str = "", more: Sequence[str] = ()) -> str:
    """Write a command line to try next: the one that was typed, as another command or with more options.

    >>> advised(["check", "my vine.svg", "--rim", "8"], instead="mend")
    "filigree mend 'my vine.svg' --rim 8"
    """
    command, *rest = args
    return shlex.join([called(), instead or command, *rest, *more])


def told(error: click.UsageError, asked: click.Command | None, path: str) -> str:
    """Say what is wrong with a command line.

    Args:
        error: what click found.
        asked: the command it was found in, where known.
        path: how that command is called, for example "filigree make".
    """
    see = f"see '{path} --help'"
    if isinstance(error, click.NoSuchOption):
        options = asked.get_params(click.Context(asked)) if asked else ()
        near = nearest(error.option_name, (o for p in options for o in p.opts if o[:2] == "--"))
        hint = f" did you mean '{near}'?;" if near else ""
        return f"no option '{error.option_name[:40]}';{hint} {see}"
    if isinstance(error, click.MissingParameter) and isinstance(error.param, click.Argument):
        example = _EXAMPLE.search(asked.help or "") if asked else None
        typed = re.sub(r"^filigree", called(), example[1]) if example else ""
        shown = f", as in: {typed}" if typed else ""
        return f"{error.param.make_metavar(error.ctx or click.Context(click.Command(path)))} is missing{shown}; {see}"
    return f"{error.format_message().rstrip('.')}; {see}"


def no_command(word: str, known: Iterable[str]) -> str:
    """Say that there is no such command, with the nearest one, or that a drawing needs one before it."""
    names = list(known)
    if word.lower().endswith(_PICTURES):
        return f"no command {word!r}; put one before a drawing, as in: {called()} make {word}"
    near = nearest(word.lower(), names)
    hint = f"did you mean '{near}'?" if near else f"known: {', '.join(names)}"
    return f"no command {word!r}; {hint}"


def nearest(word: str, known: Iterable[str]) -> str | None:
    """Find the known name nearest to a word; None when none is near."""
    import difflib  # only here, for a quick start

    near = difflib.get_close_matches(word, list(known), n=1)
    return near[0] if near else None


def sought(art: Path) -> Path:
    """Give the path of a drawing back, when there is something of that name.

    What it holds is for its reader to find out.

    Raises:
        FiligreeError: there is nothing of that name, or a folder.
    """
    shown = one_line(str(art))
    try:
        there, folder = art.exists(), art.is_dir()
        names = [] if there or not art.parent.is_dir() else _pictures(art.parent)
    except OSError as error:
        raise FiligreeError(
            f"cannot be looked for ({error.strerror})", remedy="check the name", where=shown[:100]
        ) from error
    if folder:
        raise FiligreeError(
            "this is a folder",
            remedy="name a drawing in it, or make all of them with filigree batch",
            where=shown,
        )
    if there:
        return art
    near = nearest(art.name, names)
    if near:
        raise FiligreeError(
            "no such file", remedy=f"did you mean '{art.parent / near}'?", where=shown
        )
    if names:
        listed = ", ".join(names[:5]) + (" ..." if len(names) > 5 else "")
        raise FiligreeError("no such file", remedy=f"here are: {listed}", where=shown)
    lost = "no such file" if art.parent.is_dir() else "there is no such folder"
    raise FiligreeError(lost, remedy="name an SVG, or a scan or photo", where=shown)


def readable(path: Path) -> Path:
    """Give a file or folder back, when what it holds can be read or listed.

    Raises:
        FiligreeError: it cannot.
    """
    try:
        if path.is_dir():
            next(path.iterdir(), None)
        else:
            path.open("rb").close()
    except OSError as error:
        raise FiligreeError(
            f"cannot be read ({(error.strerror or str(error)).lower()})",
            remedy="check its permissions",
            where=one_line(str(path)),
        ) from error
    return path


def _pictures(folder: Path) -> list[str]:
    """Names of the drawings and pictures of a folder, in order."""
    names = (p.name for p, _ in zip(folder.iterdir(), range(_MOST_NAMES), strict=False))
    return sorted(name for name in names if name.lower().endswith(_PICTURES))
