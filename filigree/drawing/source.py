"""Bytes of an art file: regular files up to 64 MB, unpacked when they are gzipped."""

import stat
import zlib
from pathlib import Path

from filigree.errors import FiligreeError

MOST_BYTES = 64 * 1024 * 1024
GZIP = b"\x1f\x8b"


def read_bytes(path: Path) -> bytes:
    """Read a regular file of at most 64 MB.

    Raises:
        FiligreeError: it is missing, not a regular file, unreadable, or too large.
    """
    try:
        status = path.stat()
        if not stat.S_ISREG(status.st_mode):
            raise FiligreeError("this is not a file", remedy="name a drawing", where=path.name)
        if status.st_size > MOST_BYTES:
            raise _too_large(path.name)
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except FileNotFoundError as error:
        raise FiligreeError(
            "there is no such file", remedy="check the name", where=path.name
        ) from error
    except OSError as error:
        reason = (error.strerror or "it cannot be read").lower()
        raise FiligreeError(
            f"the file cannot be read: {reason}", remedy="check its rights", where=path.name
        ) from error
    if len(data) > MOST_BYTES:
        raise _too_large(path.name)
    return data


def unpack(data: bytes, name: str) -> bytes:
    """Unpack gzipped bytes; others are given back as they are.

    Raises:
        FiligreeError: more than 64 MB come out, or the packing is damaged.
    """
    if not data.startswith(GZIP):
        if len(data) > MOST_BYTES:
            raise _too_large(name)
        return data
    unpacker = zlib.decompressobj(wbits=31)
    try:
        plain = unpacker.decompress(data, MOST_BYTES + 1)
    except zlib.error as error:
        raise FiligreeError(
            "the packed drawing is damaged", remedy="save it again as plain SVG", where=name
        ) from error
    if len(plain) > MOST_BYTES:
        raise _too_large(name)
    if not unpacker.eof:
        raise FiligreeError(
            "the packed drawing ends too early", remedy="save it again as plain SVG", where=name
        )
    return plain


def _too_large(name: str) -> FiligreeError:
    return FiligreeError(
        "the drawing is larger than 64 MB", remedy="leave out pictures and hidden parts", where=name
    )
