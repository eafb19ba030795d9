"""Refused: what the machine would not do, told as a line that names the place and what to try."""

import errno
import os
import sys

from filigree.cli.leaving import drop_output
from filigree.errors import FiligreeError

_TRY = {
    errno.ENOSPC: "free some space",
    errno.EDQUOT: "free some space",
    errno.EACCES: "check its permissions",
    errno.EPERM: "check its permissions",
    errno.EROFS: "check its permissions",
    errno.EIO: "check the disk",
    errno.ENAMETOOLONG: "choose a shorter name",
    errno.EMFILE: "close some programs",
    errno.ENFILE: "close some programs",
    errno.ENOMEM: "close some programs, or work on a simpler drawing",
    errno.EAGAIN: "close some programs, or work on a simpler drawing",
}


def refusal(error: OSError | MemoryError) -> FiligreeError | None:
    """Say what the machine refused and where; None when that is no matter of the machine but a fault of ours."""
    if isinstance(error, MemoryError):
        return FiligreeError(
            "it needs more memory than there is",
            remedy="close some programs, or work on a simpler drawing",
        )
    if error.filename is None and not _output_is_whole():
        return output_refused(error)
    if error.errno not in _TRY:
        return None
    where = os.fsdecode(error.filename) if isinstance(error.filename, str | bytes) else ""
    return FiligreeError(
        f"the system refused ({_reason(error)})", remedy=_TRY[error.errno], where=where
    )


def output_refused(error: OSError) -> FiligreeError:
    """Say that standard output cannot be written; what is still to be written to it is dropped."""
    drop_output()
    return FiligreeError(
        f"cannot be written ({_reason(error)})",
        remedy=_TRY.get(error.errno or 0, "check where it goes"),
        where="standard output",
    )


def _reason(error: OSError) -> str:
    return (error.strerror or str(error)).lower()


def _output_is_whole() -> bool:
    """Say whether standard output takes what is still to be written to it."""
    try:
        sys.stdout.flush()
    except (OSError, ValueError):  # ValueError: it was closed
        return False
    return True
