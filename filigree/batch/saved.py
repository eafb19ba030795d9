"""Saved: what a batch has written down, and whether what it made is still there."""

import hashlib
from collections.abc import Mapping
from pathlib import Path

import msgspec

from filigree.batch.listing import RESULT
from filigree.batch.model import Made, Result, Row
from filigree.errors import FiligreeError
from filigree.job.files import job_from
from filigree.output.byhand import refuse_changed, with_hand
from filigree.output.folder import SETTINGS, names_written, write_folder
from filigree.output.swap import undisturbed


def content_of(files: Mapping[str, bytes]) -> str:
    """Give a name that stands for a set of files: equal names and bytes give an equal one."""
    return _joined({name: hashlib.sha256(data).digest() for name, data in files.items()})


def is_there(out: Path, row: Row) -> bool:
    """True when the folder of a piece holds the files of that run, byte for byte."""
    folder = out / row.folder
    digests = {}
    try:
        for name in names_written(folder):
            with (folder / name).open("rb") as file:
                digests[name] = hashlib.file_digest(file, "sha256").digest()
    except OSError:
        return False
    return bool(digests) and _joined(digests) == row.content


def read_result(out: Path) -> Result:
    """Read what the last run wrote down; nothing when there was none, or one of another version.

    Raises:
        FiligreeError: there is something else of that name, which is not ours to replace.
    """
    path = out / RESULT
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        return Result(pieces=())
    except NotADirectoryError as error:
        raise FiligreeError(
            "there is a file of that name in the way",
            remedy="name another folder with -o",
            where=str(out),
        ) from error
    except OSError as error:
        raise FiligreeError(
            f"cannot be read ({(error.strerror or 'bad name').lower()})",
            remedy="name another folder with -o",
            where=str(path),
        ) from error
    try:
        return msgspec.json.decode(data, type=Result)
    except msgspec.DecodeError as error:
        if not _is_ours(data):
            raise FiligreeError(
                "this file was not written by filigree and stays as it is",
                remedy="move it, or name another folder with -o",
                where=str(path),
            ) from error
        return Result(pieces=())


def write_result(out: Path, rows: Mapping[str, Row]) -> Result:
    """Write `batch.json` in one step, its rows in the order of the folders' names.

    Raises:
        FiligreeError: the system will not have it written.
    """
    result = Result(pieces=tuple(rows[name] for name in sorted(rows)))
    beside = out / f".{RESULT}.filigree-new"
    try:
        with undisturbed():
            out.mkdir(parents=True, exist_ok=True)
            try:
                beside.write_bytes(
                    msgspec.json.format(msgspec.json.encode(result), indent=1) + b"\n"
                )
                beside.replace(out / RESULT)
            finally:
                beside.unlink(missing_ok=True)
    except OSError as error:
        raise FiligreeError(
            f"cannot be written ({error.strerror})",
            remedy="choose a folder you may write to, with -o",
            where=str(out),
        ) from error
    return result


def kept(out: Path, made: Made) -> Row:
    """Write a piece into its folder; a folder that cannot be written becomes a failure of that piece."""
    if not made.files:
        return made.row
    folder = out / made.row.folder
    try:
        written = job_from(made.files[SETTINGS].decode(), where=SETTINGS)
        refuse_changed(
            folder,
            written,
            remedy="move the file beside the drawing to use them, or away",
        )
        files = with_hand(folder, made.files, written)
        write_folder(folder, files)
    except FiligreeError as error:
        return msgspec.structs.replace(made.row, state="failed", say=str(error))
    return msgspec.structs.replace(made.row, content=content_of(files))


def _joined(digests: Mapping[str, bytes]) -> str:
    whole = hashlib.sha256()
    for name in sorted(digests):
        whole.update(name.encode() + b"\0" + digests[name])
    return whole.hexdigest()


def _is_ours(data: bytes) -> bool:
    """True for a list of another version."""
    try:
        told = msgspec.json.decode(data)
    except msgspec.DecodeError:
        return False
    return isinstance(told, dict) and told.get("format") == "filigree-batch"
