"""The group of commands. A new command is one file beside this one and one line in `COMMANDS`."""

import importlib
import os

import click

from filigree import __version__
from filigree.cli import BAD_INPUT, HOLDS, INTERRUPTED
from filigree.cli.leaving import drop_output
from filigree.cli.refused import refusal
from filigree.cli.usage import called, no_command, told
from filigree.errors import FiligreeError, one_line

COMMANDS = {  # in the order of the help, which shows the summary; each is `command` of the module of that name
    "make": "From a drawing to a folder of files to cut and look at.",
    "check": "Does the face hold? The findings alone, nothing written.",
    "mend": "The smallest change that makes the face hold, and what was changed.",
    "colours": "What goes behind the openings: many colours side by side, and which read.",
    "page": "Work on a piece in the browser: pick fields, try leather and colours, mend, save.",
    "stack": "Thickness, mass and stiffness of the plies, and which lining suits.",
    "batch": "Every drawing of a folder, several at a time.",
    "redraw": "From a scan or photo of a tracing to clean line art in mm.",
    "help": "Guides: how to draw, cut, line and colour a piece, one page a task.",
}
_COMPLETE = "_FILIGREE_COMPLETE"


class Commands(click.Group):
    """Imports a command's module when the command is asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002  click passes it
        """Names of all commands."""
        return list(COMMANDS)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        """List the commands without importing them."""
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))

    def get_command(
        self,
        ctx: click.Context,  # noqa: ARG002  click passes it
        cmd_name: str,
    ) -> click.Command | None:
        """Import one command, or None when there is none of that name."""
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"filigree.cli.{cmd_name}")
        command: click.Command = module.command
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command, or name the nearest one."""
        if args and args[0] not in COMMANDS and not ctx.resilient_parsing:
            raise click.UsageError(no_command(args[0], COMMANDS), ctx=ctx)
        return super().resolve_command(ctx, args)


@click.group(
    cls=Commands,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Tab completion: put 'eval \"$(_FILIGREE_COMPLETE=bash_source filigree)\"' into ~/.bashrc "
    "(zsh_source and fish_source likewise).",
)
@click.version_option(__version__, prog_name="filigree")
def cli() -> None:
    """From a drawing to the plies of a lined filigree piece: what to cut, and whether it holds.

    Example: filigree make vine.svg --face "5-6 oz"
    """


def dispatch(args: list[str]) -> int:
    """Run one command; usage and input that are wrong are told in one line."""
    if _COMPLETE in os.environ:  # the shell asks for completions
        cli.main(args, prog_name="filigree", complete_var=_COMPLETE)
    try:
        with cli.make_context(
            called(), list(args), obj=tuple(args), terminal_width=_columns()
        ) as context:
            return int(cli.invoke(context) or HOLDS)
    except click.exceptions.Exit as leave:
        return leave.exit_code
    except FiligreeError as error:
        return _refuse(str(error))
    except click.exceptions.NoArgsIsHelpError as error:
        click.echo(error.format_message(), err=True)
        return BAD_INPUT
    except click.UsageError as error:
        asked, path = _asked(error, args)
        return _refuse(told(error, asked, path))
    except click.ClickException as error:
        return _refuse(error.format_message())
    except BrokenPipeError:
        drop_output()
        return HOLDS
    except (OSError, MemoryError) as error:
        told_of = refusal(error)
        if told_of is None:
            raise
        return _refuse(str(told_of))
    except (click.Abort, KeyboardInterrupt):
        return INTERRUPTED


def _columns() -> int:
    """Width to print help in; click would ask a slower part of the library."""
    try:
        seen = os.get_terminal_size(1).columns
    except OSError:
        seen = 80
    return max(40, min(seen - 2, 100))


def _asked(error: click.UsageError, args: list[str]) -> tuple[click.Command, str]:
    """Find the command that was misunderstood, and how it is called."""
    if error.ctx is not None and error.ctx.parent is not None:
        return error.ctx.command, error.ctx.command_path
    inner = cli.get_command(click.Context(cli), args[0]) if args and error.ctx is None else None
    return (inner, f"{called()} {args[0]}") if inner else (cli, called())


def _refuse(line: str) -> int:
    click.echo(f"filigree: {one_line(line)}", err=True)
    return BAD_INPUT
