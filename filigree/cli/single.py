"""Single files: outputs of a command that writes no folder, put in place all or none."""

import os
from collections.abc import Mapping
from pathlib import Path

import click

from filigree.errors import FiligreeError

HEAD = 4096  # bytes at the start of a file in which it says what it is


def write_files(files: Mapping[Path, bytes], *, ours: tuple[str, ...]) -> None:
    """Write all files or none: each beside its place first, then moved there.

    Args:
        files: what goes where.
        ours: words that a file of an earlier run holds near its start; any other file is spared.

    Raises:
        FiligreeError: another file stands in a place, or nothing can be written there.
    """
    fresh = {path: path.with_name(f".{path.name}.{os.getpid()}") for path in files}
    try:
        for path, data in files.items():
            if _foreign(path, data, ours):
                raise FiligreeError(
                    f"'{click.format_filename(path)}' is there and was not written by this command",
                    remedy="name another file, or move that one away",
                    where="-o",
                )
            fresh[path].write_bytes(data)
        for path, new in fresh.items():
            new.replace(path)
    except OSError as error:
        raise FiligreeError(
            f"cannot be written ({error.strerror})",
            remedy="name a folder that exists and can be written to",
            where="-o",
        ) from error
    finally:
        for new in fresh.values():
            new.unlink(missing_ok=True)


def _foreign(path: Path, data: bytes, ours: tuple[str, ...]) -> bool:
    """Is there a file that an earlier run of the command has not written?"""
    if not path.is_file():
        return False
    held = path.read_bytes()
    return held != data and not any(
        w.encode() in part for w in ours for part in (held[:HEAD], held[-HEAD:])
    )
