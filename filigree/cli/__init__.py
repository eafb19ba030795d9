"""The command line. Nothing is imported here but what starting and stopping needs.

Exit: 0 done and holds; 1 done, and at least one stop; 2 bad input or usage; 3 a bug of ours, with its
traceback; 130 interrupted.
"""

import gc
import sys
from collections.abc import Sequence

HOLDS, STOP, BAD_INPUT, BUG, INTERRUPTED = 0, 1, 2, 3, 130


def main(args: Sequence[str] | None = None) -> int:
    """Run one command and give its exit code; what is wrong goes to standard error in one line.

    Args:
        args: words of the command line; those of this process when None.
    """
    from filigree.cli.commands import dispatch

    return dispatch(sys.argv[1:] if args is None else list(args))


def run() -> None:
    """Entry point: `main`, then leave; Ctrl-C gives 130 whatever was being imported."""
    from filigree.cli.leaving import Leaving

    gc.set_threshold(
        50_000
    )  # many objects, few circles: looking for those takes a twentieth of a run
    with Leaving() as leaving:
        leaving.code = main()
    sys.exit(leaving.code)
