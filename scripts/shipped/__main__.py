"""Writes the manual page and the completion of bash, zsh and fish anew: python -m scripts.shipped."""

from pathlib import Path

from click.shell_completion import get_completion_class

from filigree.cli.commands import cli
from scripts.shipped.manual import manual

HERE = Path(__file__).parent
SHELLS = {"bash": "bash/filigree", "zsh": "_filigree", "fish": "filigree.fish"}


def completion(shell: str) -> str:
    """Write what a shell reads to complete the words of a command line."""
    kind = get_completion_class(shell)
    if kind is None:
        raise ValueError(f"no completion for {shell}")
    made = kind(cli, {}, "filigree", "_FILIGREE_COMPLETE")
    return made.source_template % made.source_vars()


if __name__ == "__main__":
    (HERE / "filigree.1").write_text(manual(), encoding="utf-8")
    for shell, name in SHELLS.items():
        (HERE / name).write_text(completion(shell), encoding="utf-8")
