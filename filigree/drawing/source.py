"""Bytes of an art file: regular files up to a limit, unpacked when they are gzipped."""

import stat
import zlib
from pathlib import Path

from filigree.errors import FiligreeError

MB = 1024 * 1024
GZIP = b"\x1f\x8b"


def read_bytes(path: Path, *, most_mb: float) -> bytes:
    """Read a regular file of at most so many MB.

    Raises:
        FiligreeError: it is missing, not a regular file, unreadable, or too large.
    """
    most = int(most_mb * MB)
    try:
        status = path.stat()
        if not stat.S_ISREG(status.st_mode):
            raise FiligreeError("this is not a file", remedy="name a drawing", where=path.name)
        if status.st_size > most:
            raise _too_large(path.name, most_mb)
        with path.open("rb") as file:
            data = file.read(most + 1)
    except FileNotFoundError as error:
        raise FiligreeError(
            "there is no such file", remedy="check the name", where=path.name
        ) from error
    except OSError as error:
        reason = (error.strerror or "it cannot be read").lower()
        raise FiligreeError(
            f"the file cannot be read: {reason}", remedy="check its rights", where=path.name
        ) from error
    if len(data) > most:
        raise _too_large(path.name, most_mb)
    return data


def empty(name: str) -> FiligreeError:
    """Give the error for a file with nothing in it."""
    return FiligreeError(
        "the file is empty", remedy="save the drawing again, or name another", where=name
    )


def unpack(data: bytes, name: str, *, most_mb: float) -> bytes:
    """Unpack gzipped bytes; others are given back as they are.

    Raises:
        FiligreeError: more than that comes out, nothing at all, or the packing is damaged.
    """
    most = int(most_mb * MB)
    if not data or data.isspace():
        raise empty(name)
    if not data.startswith(GZIP):
        if len(data) > most:
            raise _too_large(name, most_mb)
        return data
    unpacker = zlib.decompressobj(wbits=31)
    try:
        plain = unpacker.decompress(data, most + 1)
    except zlib.error as error:
        raise FiligreeError(
            "the packed drawing is damaged", remedy="save it again as plain SVG", where=name
        ) from error
    if len(plain) > most:
        raise _too_large(name, most_mb)
    if not unpacker.eof:
        raise FiligreeError(
            "the packed drawing ends too early", remedy="save it again as plain SVG", where=name
        )
    return plain


def _too_large(name: str, most_mb: float) -> FiligreeError:
    return FiligreeError(
        f"the drawing is larger than {most_mb:g} MB",
        remedy="leave out pictures and hidden parts, or set [reading] file_mb",
        where=name,
    )
