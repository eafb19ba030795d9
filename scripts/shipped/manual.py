"""Manual page, in roff, from the commands' own help."""

import re

import click

from filigree import __version__
from filigree.cli.commands import COMMANDS, cli
from filigree.guides import TOPICS

EXITS = (  # as `filigree.cli` says
    ("0", "done, and the face meets the limits"),
    ("1", "done, and at least one finding is a stop"),
    ("2", "something in the input must be put right; one line says what, and nothing is written"),
    ("3", "a bug; its traceback is shown"),
    ("130", "interrupted"),
)


def manual() -> str:
    """Write the manual page of the tool."""
    rows = [
        f'.TH FILIGREE 1 "" "filigree {__version__}" "Leather work"',
        ".SH NAME",
        "filigree \\- plies of a lined filigree leather piece from its drawing",
        ".SH SYNOPSIS",
        ".B filigree",
        ".I COMMAND",
        "[options] [arguments]",
        ".SH DESCRIPTION",
        *_paragraphs(cli.help or ""),
        ".SH COMMANDS",
    ]
    for name, summary in COMMANDS.items():
        rows += _command(name, summary)
    rows.append(".SH GUIDES")
    rows += ["Shown by", ".B filigree help", ".IR GUIDE ."]
    for name, says in TOPICS.items():
        rows += [".TP", f".B {_text(name)}", _text(says)]
    rows.append(".SH EXIT STATUS")
    for code, says in EXITS:
        rows += [".TP", f".B {code}", _text(says)]
    return "\n".join(rows) + "\n"


def _command(name: str, summary: str) -> list[str]:
    context = click.Context(cli, info_name="filigree")
    command = cli.get_command(context, name)
    if command is None:
        raise ValueError(f"no command {name}")
    arguments = [p for p in command.params if isinstance(p, click.Argument)]
    shown = " ".join(p.make_metavar(context) for p in arguments)
    rows = [f".SS filigree {name} [options] {_text(shown)}".rstrip(), _text(summary), ".PP"]
    rows += _paragraphs(command.help or "")
    for option in command.params:
        if isinstance(option, click.Option):
            names = ", ".join(option.opts)
            value = "" if option.is_flag else f" {option.make_metavar(context)}"
            rows += [".TP", f".B {_text(names + value)}", _text(option.help or "")]
    return rows


def _paragraphs(text: str) -> list[str]:
    out: list[str] = []
    for paragraph in re.split(r"\n\s*\n", text.strip()):
        if out:
            out.append(".PP")
        out.append(_text(" ".join(paragraph.split())))
    return out


def _text(text: str) -> str:
    """Escape a line for roff: backslashes, hyphens of options, and a leading dot or quote."""
    plain = text.replace("\\", "\\e").replace("-", "\\-")
    return f"\\&{plain}" if plain[:1] in {".", "'"} else plain
