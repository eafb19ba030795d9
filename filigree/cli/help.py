"""`filigree help`: the guides, one page a task."""

import click

from filigree.cli import HOLDS
from filigree.cli.printing import say


@click.command("help")
@click.argument("topic", required=False)
def command(*, topic: str | None) -> int:
    """Show the guide on TOPIC; without one, list the topics.

    Example: filigree help drawing
    """
    from filigree.guides import TOPICS, guide

    if topic is None:
        width = max(map(len, TOPICS))
        say("\n".join(f"  {name:<{width}}  {summary}" for name, summary in TOPICS.items()))
    else:
        say(guide(topic).rstrip("\n"))
    return HOLDS
