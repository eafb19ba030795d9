"""`python -m filigree` is the `filigree` command."""

from filigree.cli import run

if __name__ == "__main__":
    run()
