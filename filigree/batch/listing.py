"""Listing: which pieces a folder of drawings and a table of variations make."""

import csv
import functools
import hashlib
import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from filigree import __version__
from filigree.batch.model import Files, Task
from filigree.errors import FiligreeError
from filigree.job import Job, dump_job, load_job, with_overrides
from filigree.output.folder import names_written

ART = (".svg", ".svgz", ".png", ".jpg", ".jpeg", ".tif", ".tiff", ".bmp", ".webp")
SETTINGS = "job.toml"
NAME = "name"  # column of a list of variations that names the folder
LARGEST_LIST = 10_000_000  # bytes
PLAIN = re.compile(r"[\w-]{1,100}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """A piece of the list, its drawing still on disk."""

    path: Path
    art: str
    job: str
    folder: str
    files: Files
    key: str

    def task(self) -> Task:
        """Read the drawing, to be handed out."""
        return Task(
            art=self.art,
            data=self.path.read_bytes(),
            job=self.job,
            folder=self.folder,
            files=self.files,
            key=self.key,
        )


def pieces_of(
    folder: Path, out: Path, job: Job, variations: Mapping[str, Mapping[str, Any]], files: Files
) -> list[Listed]:
    """List every piece, by folder name; two drawings of one stem get their endings into the name."""
    if not folder.is_dir():
        raise FiligreeError(
            "no such folder", remedy="name a folder with drawings", where=folder.name
        )
    inside = out.resolve()
    made = functools.cache(names_written)  # files of earlier results are no drawings
    paths = sorted(
        p
        for p in folder.rglob("*")
        if p.suffix.lower() in ART
        and p.is_file()
        and not p.resolve().is_relative_to(inside)
        and p.name not in made(p.parent)
    )
    if not paths:
        raise FiligreeError(
            "no drawing in this folder", remedy=f"put {', '.join(ART[:3])} there", where=folder.name
        )
    stems = Counter(p.relative_to(folder).with_suffix("") for p in paths)
    items = []
    for path in paths:
        art = path.relative_to(folder)
        stem = art.with_suffix("")
        name = "-".join((stem if stems[stem] == 1 else art).parts)
        beside = path.with_name(SETTINGS)
        own = load_job(beside) if beside.is_file() else job
        digest = hashlib.sha256(path.read_bytes()).digest()
        for label, values in variations.items():
            settings = dump_job(with_overrides(own, values, where=f"variation {label}"))
            items.append(
                Listed(
                    path=path,
                    art=art.as_posix(),
                    job=settings,
                    folder=f"{name}-{label}" if label else name,
                    files=files,
                    key=_key(digest, settings, files),
                )
            )
    return sorted(items, key=lambda item: item.folder)


def _key(digest: bytes, settings: str, files: Files) -> str:
    parts = (__version__.encode(), files.encode(), settings.encode(), digest)
    return hashlib.sha256(b"".join(len(p).to_bytes(8, "big") + p for p in parts)).hexdigest()


def variations_of(vary: Path | None) -> dict[str, dict[str, Any]]:
    """Read the table of variations: settings by name; one without a name when there is no table."""
    if vary is None:
        return {"": {}}
    try:
        if vary.stat().st_size > LARGEST_LIST:
            raise FiligreeError("larger than 10 MB", remedy="part it", where=vary.name)
        rows = list(csv.DictReader(vary.read_text(encoding="utf-8-sig").splitlines()))
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        raise FiligreeError(
            f"no table of variations ({error})", remedy="write it as CSV, UTF-8", where=vary.name
        ) from error
    if not rows or NAME not in rows[0]:
        raise FiligreeError(
            'no column "name", or no row under it',
            remedy='give a first line like "name,face.thickness,sheet.width"',
            where=vary.name,
        )
    found: dict[str, dict[str, Any]] = {}
    for number, row in enumerate(rows, start=2):
        label = (row.pop(NAME) or "").strip()
        if not label or label in found or PLAIN.fullmatch(label) is None:
            raise FiligreeError(
                f"line {number}: {label!r} is no name for a folder, or is there twice",
                remedy="use letters, digits, - and _",
                where=vary.name,
            )
        found[label] = {key.strip(): _value(text) for key, text in row.items() if key and text}
    return found


def _value(text: str) -> str | float | int | bool:
    word = text.strip()
    if word in {"true", "false"}:
        return word == "true"
    for kind in (int, float):
        try:
            return kind(word)
        except ValueError:
            continue
    return word
