"""`filigree help`: the guides, one page a task; also the help of a command."""

import click
from click.shell_completion import CompletionItem

from filigree.cli import HOLDS
from filigree.cli.printing import say
from filigree.cli.usage import nearest
from filigree.errors import FiligreeError


def _topics(ctx: click.Context, param: click.Parameter, typed: str) -> list[CompletionItem]:  # noqa: ARG001
    """Offer the guides to a shell that completes words."""
    from filigree.guides import TOPICS

    return [
        CompletionItem(name, help=says) for name, says in TOPICS.items() if name.startswith(typed)
    ]


@click.command("help")
@click.argument("topic", required=False, shell_complete=_topics)
@click.pass_context
def command(ctx: click.Context, *, topic: str | None) -> int:
    """Show the guide on TOPIC, or the help of a command of that name; without TOPIC, list the guides.

    Example: filigree help drawing
    """
    from filigree.guides import TOPICS, guide

    if topic is None:
        width = max(map(len, TOPICS))
        rows = [f"  {name:<{width}}  {summary}" for name, summary in TOPICS.items()]
        say("\n".join(("Guides; filigree help NAME shows one:", *rows)))
    elif topic in TOPICS:
        say(guide(topic).rstrip("\n"))
    else:
        say(_command_help(ctx, topic))
    return HOLDS


def _command_help(ctx: click.Context, name: str) -> str:
    from filigree.guides import TOPICS

    group = ctx.parent.command if ctx.parent else None
    if not isinstance(group, click.Group) or ctx.parent is None:
        raise TypeError("help is a command of a group")
    known = group.list_commands(ctx.parent)
    asked = group.get_command(ctx.parent, name)
    if asked is None:
        near = nearest(name.lower(), (*TOPICS, *known))
        raise FiligreeError(
            f"no guide or command {name[:40]!r}",
            remedy=f"did you mean '{near}'?" if near else f"guides are {', '.join(TOPICS)}",
            where="help",
        )
    return asked.get_help(click.Context(asked, parent=ctx.parent, info_name=name))
