"""Listing: which pieces a folder of drawings and a table of variations make."""

import functools
import hashlib
import os
import unicodedata
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from filigree import __version__
from filigree.batch.model import Files, Row, Task
from filigree.batch.variations import Variation
from filigree.errors import FiligreeError, one_line
from filigree.job import Job, dump_job, load_job, with_overrides
from filigree.output.folder import SETTINGS, names_written

ART = (".svg", ".svgz", ".png", ".jpg", ".jpeg", ".tif", ".tiff", ".bmp", ".webp")
RESULT = "batch.json"  # beside the folders of the pieces


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """A piece of the list, its drawing still on disk; `trouble` says why it cannot be made, if so."""

    path: Path
    art: str
    folder: str
    files: Files
    job: str = ""
    key: str = ""
    trouble: str = ""

    def task(self) -> Task:
        """Read the drawing, to be handed out.

        Raises:
            FiligreeError: it cannot be read.
        """
        try:
            data = self.path.read_bytes()
        except OSError as error:
            raise _unreadable(self.art, error) from error
        return Task(
            art=self.art,
            data=data,
            job=self.job,
            folder=self.folder,
            files=self.files,
            key=self.key,
        )

    def failed(self, say: str) -> Row:
        """Row of this piece when it could not be made."""
        return Row(art=self.art, folder=self.folder, key=self.key, state="failed", say=say)


def pieces_of(
    folder: Path, out: Path, job: Job, variations: Sequence[Variation], files: Files
) -> list[Listed]:
    """List every piece, by folder name; two drawings of one stem get their endings into the name.

    Raises:
        FiligreeError: no folder, no drawing in it, two pieces for one folder, or a variation that fits none
            of the drawings.
    """
    names = _names(folder, _drawings(folder, out), variations)
    settings = functools.cache(functools.partial(_settings, folder, job))
    items = []
    misfits: dict[str, list[FiligreeError]] = {}  # by line of the table
    for path, labelled in names.items():
        plain = Listed(path=path, art=_shown(path.relative_to(folder)), folder="", files=files)
        digest, trouble = _digest(path, plain.art)
        own = job
        if not trouble:
            own, trouble = settings(path.parent)
        for variation, name in zip(variations, labelled, strict=True):
            item = replace(plain, folder=name, trouble=trouble)
            if not trouble:
                try:
                    text = dump_job(_varied(own, variation))
                    item = replace(item, job=text, key=_key(digest, text, files))
                except FiligreeError as error:
                    item = replace(item, trouble=str(error))
                    misfits.setdefault(variation.where, []).append(error)
            items.append(item)
    for errors in misfits.values():
        if len(errors) == len(names):
            raise errors[0]
    return sorted(items, key=lambda item: item.folder)


def _varied(own: Job, variation: Variation) -> Job:
    """Change the settings of a drawing as a row of the table says, a colour or thickness checked too."""
    if not variation.values:
        return own
    from filigree.pipeline import check_settings  # heavy, so only with a table

    job = with_overrides(own, variation.values, where=variation.where)
    try:
        check_settings(job)
    except FiligreeError as error:
        where = f"{variation.where}, {error.where}" if error.where else variation.where
        raise FiligreeError(error.what, remedy=error.remedy, where=where) from error
    return job


def _drawings(folder: Path, out: Path) -> list[Path]:
    """Drawings and pictures of a folder and those in it, in order, without what earlier runs wrote."""
    if not folder.is_dir():
        there = folder.exists()
        raise FiligreeError(
            "this is a file" if there else "no such folder",
            remedy="name a folder with drawings, or make this one with filigree make"
            if there
            else "name a folder with drawings",
            where=one_line(str(folder)),
        )
    try:
        next(folder.iterdir(), None)
    except OSError as error:
        raise _unreadable(one_line(str(folder)), error, what="the folder") from error
    inside = out.resolve()
    made = functools.cache(_made)
    found = [
        p
        for p in folder.rglob("*")
        if p.suffix.lower() in ART and _may_be_file(p) and p.name not in made(p.parent)
    ]
    paths = sorted(p for p in found if not p.resolve().is_relative_to(inside))
    if not paths:
        raise FiligreeError(
            "its drawings lie in the folder to write" if found else "no drawing in this folder",
            remedy="name another with -o" if found else f"put {', '.join(ART[:3])} there",
            where=one_line(str(folder)),
        )
    return paths


def _made(folder: Path) -> frozenset[str]:
    """Names of files of an earlier result, which are no drawings; none where that cannot be looked up."""
    try:
        return names_written(folder)
    except OSError:
        return frozenset()


def _may_be_file(path: Path) -> bool:
    """True for a file, and for what cannot be looked at, which becomes a failure of that piece."""
    try:
        return path.is_file()
    except OSError:
        return True


def _names(
    folder: Path, paths: Sequence[Path], variations: Sequence[Variation]
) -> Mapping[Path, list[str]]:
    """Name the folder of each piece, one a variation for each drawing.

    Names that differ in capitals or in how an accent is stored count as one, since they are on some disks.
    """
    stems = Counter(p.relative_to(folder).with_suffix("") for p in paths)
    taken: dict[str, str] = {RESULT: f"the list {RESULT}"}
    names: dict[Path, list[str]] = {}
    for path in paths:
        art = path.relative_to(folder)
        stem = art.with_suffix("")
        plain = "-".join(_shown(part) for part in (stem if stems[stem] == 1 else art).parts)
        names[path] = []
        for label in (variation.label for variation in variations):
            name = f"{plain}-{label}" if label else plain
            piece = f"{_shown(art)} as {label!r}" if label else _shown(art)
            same = unicodedata.normalize("NFC", name).casefold()
            if same in taken:
                raise FiligreeError(
                    f"{taken[same]} and {piece} would both become {name!r}",
                    remedy="rename one of them",
                    where=one_line(str(folder)),
                )
            taken[same] = piece
            names[path].append(name)
    return names


def _shown(art: Path | str) -> str:
    """A name as text, with / between folders; bytes that are no text are written out."""
    text = art.as_posix() if isinstance(art, Path) else art
    return os.fsencode(text).decode("utf-8", "backslashreplace")


def _digest(path: Path, art: str) -> tuple[bytes, str]:
    """Stand-in for the bytes of a drawing, or why they cannot be read."""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").digest(), ""
    except OSError as error:
        return b"", str(_unreadable(art, error))


def _unreadable(art: str, error: OSError, *, what: str = "the file") -> FiligreeError:
    return FiligreeError(
        f"cannot be read ({(error.strerror or 'bad name').lower()})",
        remedy=f"check {what} and its rights",
        where=art,
    )


def _settings(folder: Path, job: Job, beside: Path) -> tuple[Job, str]:
    """Settings of the drawings in one folder, or why they cannot be used."""
    own = beside / SETTINGS
    if not own.is_file():
        return job, ""
    try:
        return load_job(own), ""
    except FiligreeError as error:
        inside = _shown(beside.relative_to(folder))
        where = error.where if inside == "." else f"{inside}/{error.where}"
        return job, str(FiligreeError(error.what, remedy=error.remedy, where=where))


def _key(digest: bytes, settings: str, files: Files) -> str:
    parts = (__version__.encode(), files.encode(), settings.encode(), digest)
    return hashlib.sha256(b"".join(len(p).to_bytes(8, "big") + p for p in parts)).hexdigest()
