"""By hand: settings that the maker changed in a folder of ours are used or asked about, never written over unseen."""

import itertools
import os
import shlex
from collections.abc import Mapping
from pathlib import Path

from filigree.errors import FiligreeError, one_line
from filigree.job import Job, dump_job
from filigree.job.files import job_from
from filigree.output.folder import SETTINGS, changed_by_hand

ASIDE = "job-{}.toml"  # settings that others took the place of


def refuse_changed(folder: Path, job: Job, *, used: Path | None = None, remedy: str = "") -> None:
    """Refuse to write over settings in a folder that were changed by hand since they were written there.

    Args:
        folder: to be written.
        job: settings of the piece to write.
        used: file that these were read from, if any; when it is the one in the folder, nothing is lost.
        remedy: what to try, when it is not to give the file with --job.

    Raises:
        FiligreeError: they were changed, and say something else than `job`.
    """
    there = folder / SETTINGS
    text = _changed(folder)
    if text is None or _says(text, job) or (used is not None and _is_same(used, there)):
        return
    name = one_line(str(there))
    raise FiligreeError(
        "these settings were changed by hand",
        remedy=remedy or f"give --job {shlex.quote(name)} to use them, or move the file away",
        where=name,
    )


def with_hand(folder: Path, files: Mapping[str, bytes], job: Job) -> dict[str, bytes]:
    """Keep the maker's own text of the settings, with her notes, where it says what is to be written."""
    text = _changed(folder)
    own = {SETTINGS: text.encode()} if text is not None and _says(text, job) else {}
    return {name: own.get(name, data) for name, data in files.items()}


def keep_notes(folder: Path, job: Job) -> Path | None:
    """Copy the maker's own text of the settings, where other settings take its place and would lose her notes.

    Args:
        folder: to be written.
        job: settings to write.

    Returns:
        The copy; None when nothing of hers would be lost: the text says the same, or holds no word of its own.

    Raises:
        OSError: the disk does not take it.
    """
    text = _changed(folder)
    if text is None or _says(text, job) or _is_plain(text):
        return None
    return copied(folder, text.encode())


def copied(folder: Path, settings: bytes) -> Path:
    """Copy settings to a name of their own in a folder; one that holds the same bytes already is given instead.

    Raises:
        OSError: the disk does not take it.
    """
    places = (folder / ASIDE.format(number) for number in itertools.count(1))
    for place in places:
        if not os.path.lexists(place):
            place.write_bytes(settings)
            break
        if place.is_file() and place.read_bytes() == settings:
            break
    return place


def _changed(folder: Path) -> str | None:
    """Text of the settings in a folder, when they are not as they were written; None when they are."""
    data = changed_by_hand(folder)
    return None if data is None else data.decode("utf-8", "replace")


def _says(text: str, job: Job) -> bool:
    """Say whether a text is a way to write these settings."""
    try:
        said = job_from(text, where=SETTINGS)
    except FiligreeError:
        return False
    return bool(said == job)


def _is_plain(text: str) -> bool:
    """Say whether a text is just as we write its settings, without a word of the maker's own."""
    try:
        return dump_job(job_from(text, where=SETTINGS)) == text
    except FiligreeError:
        return False


def _is_same(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except OSError:
        return False
