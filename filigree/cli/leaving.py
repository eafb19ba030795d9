"""How a process ends: exit code, interrupt, bug, and a standard output that went away."""

import contextlib
import io
import os
import signal
import sys
from types import TracebackType
from typing import Self

from filigree.cli import BAD_INPUT, BUG, INTERRUPTED


class Leaving:
    """Holds the exit code of a run, and turns what escapes from it into one.

    An interrupt may surface as another error when it hits a library in the middle of its import, so
    the signal itself is remembered.
    """

    def __init__(self) -> None:
        self.code = BUG
        self._interrupted = False

    def __enter__(self) -> Self:
        signal.signal(signal.SIGINT, self._interrupt)
        if isinstance(sys.stdout, io.TextIOWrapper):  # what the terminal cannot show is written out
            sys.stdout.reconfigure(errors="backslashreplace")
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> bool:
        if error is not None:
            self.code = self._code_of(error)
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # no second interrupt while we leave
        self._flush()
        return True

    def _code_of(self, error: BaseException) -> int:
        if self._interrupted or isinstance(error, KeyboardInterrupt):
            return INTERRUPTED
        if isinstance(error, SystemExit) and isinstance(error.code, int):
            return error.code
        sys.excepthook(type(error), error, error.__traceback__)
        return BUG

    def _flush(self) -> None:
        """Write out what is buffered; a reader that left is no error, a full disk is."""
        try:
            if sys.stdout is not None:
                sys.stdout.flush()
        except OSError as error:
            drop_output()
            if not isinstance(error, BrokenPipeError) and self.code < BAD_INPUT:
                self.code = BAD_INPUT
                with contextlib.suppress(OSError):
                    sys.stderr.write(
                        f"filigree: standard output: {error.strerror}; free some space\n"
                    )

    def _interrupt(self, *_: object) -> None:
        self._interrupted = True
        raise KeyboardInterrupt


def drop_output() -> None:
    """Point standard output at nothing, so that the rest of the run may write as before."""
    nothing = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nothing, sys.stdout.fileno())
    os.close(nothing)
