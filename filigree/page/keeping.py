"""Keeping: the state of the work on disk, written whole before any answer goes out, and the names it has.

Work on NAME is kept in the folder NAME-page: `job.toml`, and the drawing when it was dropped on the page, or the
drawing's name when it lies elsewhere.
"""

import contextlib
import itertools
import os
import threading
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from filigree.errors import FiligreeError, one_line
from filigree.job import Job, dump_job, load_job
from filigree.output.byhand import copied
from filigree.output.folder import check_ours, names_written, settled, write_folder

KEPT = "job.toml"
NAMED = "drawing.txt"  # holds the name of a drawing that lies elsewhere
DRAWINGS = (".svg", ".png", ".jpg", ".jpeg", ".tif", ".tiff", ".bmp", ".webp")
MOST = 200  # drawings of a folder that are listed
_PAGE = "-page"
_FRESH = ".job.toml.new"


@dataclass(slots=True, kw_only=True)
class Keeper:
    """One folder that keeps the state of the work on one drawing.

    Attributes:
        folder: where.
        drawing: name of the drawing, when it lies elsewhere; else "".
        written: what this program wrote last; None before it has.
        laid_aside: copy of the work that this one began anew over; None when there was none.
    """

    folder: Path
    drawing: str = ""
    written: bytes | None = None
    laid_aside: Path | None = None

    def lay_aside(self, job: Job) -> None:
        """Copy the work that is kept to a name of its own, before other work takes its place.

        Raises:
            OSError: the disk does not take it.
        """
        there = self.folder / KEPT
        if KEPT not in _written(self.folder) or not there.is_file():
            return
        before = there.read_bytes()
        if before == dump_job(job).encode():
            return
        self.laid_aside = copied(self.folder, before)

    def keep(self, job: Job) -> None:
        """Write the job to disk, whole or not at all.

        Raises:
            FiligreeError: somebody else's folder, or another program has written there meanwhile.
            OSError: the disk does not take it.
        """
        self.start(job).finish()

    def start(self, job: Job) -> "Writing":
        """Begin to write a job beside the one that is kept; it takes its place when it is finished.

        Raises:
            FiligreeError: as `keep`.
            OSError: as `keep`.
        """
        data = dump_job(job).encode()
        target = settled(self.folder)
        if target.is_dir():
            check_ours(target)
            self._refuse_other(target)
        return Writing(self, target, data)

    def keep_with(self, job: Job, name: str, drawing: bytes) -> None:
        """Write a job and the drawing it is for."""
        data = dump_job(job).encode()
        write_folder(self.folder, {KEPT: data, name: drawing})
        self.written = data

    def files(self, data: bytes) -> dict[str, bytes]:
        """Give what the folder holds of ours, besides a drawing that was dropped."""
        named = {NAMED: f"{self.drawing}\n".encode()} if self.drawing else {}
        return {KEPT: data, **named}

    def _refuse_other(self, target: Path) -> None:
        """Refuse to write over what another run of the page has kept since."""
        try:
            there = (target / KEPT).read_bytes()
        except FileNotFoundError:
            return
        if self.written is not None and there != self.written:
            raise FiligreeError(
                "another run of filigree page has changed the kept work",
                remedy="end one of the two, then start this one again",
                where=one_line(self.folder.name),
            )


class Writing:
    """A job on its way to the disk, from a thread of its own, so that measuring need not wait for it."""

    def __init__(self, keeper: Keeper, target: Path, data: bytes) -> None:
        """Begin to write; a folder that is not there yet, or lists no such file, is written in one step at the end."""
        self.keeper, self.target, self.data = keeper, target, data
        self.wrong: OSError | None = None
        self.thread: threading.Thread | None = None
        if set(keeper.files(data)) <= _written(target):
            self.thread = threading.Thread(target=self._write)
            self.thread.start()

    def finish(self) -> None:
        """Put the new job in the place of the old one, in one step.

        Raises:
            OSError: the disk does not take it; the old one stays.
        """
        if self.thread is None:
            write_folder(self.target, self.keeper.files(self.data))
        else:
            self.thread.join()
            if self.wrong is not None:
                self.drop()
                raise self.wrong
            (self.target / _FRESH).replace(self.target / KEPT)
        self.keeper.written = self.data

    def drop(self) -> None:
        """Leave the old job as it is."""
        if self.thread is not None:
            self.thread.join()
            with contextlib.suppress(OSError):
                (self.target / _FRESH).unlink()

    def _write(self) -> None:
        fresh = self.target / _FRESH
        try:
            fresh.unlink(missing_ok=True)
            with fresh.open("xb") as file:
                file.write(self.data)
                file.flush()
                os.fsync(file.fileno())
        except OSError as error:
            self.wrong = error


def keeper_for(folder: Path, art: Path) -> Keeper:
    """Find what keeps the state of the work on a drawing that lies where the maker pointed.

    Other work of that name is left alone: the folder gets a number.
    """
    kept = next(k for k in _places(folder, art.stem) if _free(k) or _is_of(k, art))
    return Keeper(folder=kept, drawing="" if art.name in _written(kept) else art.name)


def cut_beside(kept: Path) -> Path:
    """Name the folder that Save writes for the work kept in a folder."""
    return kept.with_name(f"{kept.name.removesuffix(_PAGE)}-cut")


def job_kept(kept: Path) -> Job | None:
    """Read the job of work that was begun before; None when there is none.

    Raises:
        FiligreeError: it cannot be read.
    """
    if KEPT not in _written(kept) or not (kept / KEPT).is_file():
        return None
    try:
        return load_job(kept / KEPT)
    except FiligreeError as error:
        raise FiligreeError(
            f"the kept work cannot be read: {error.what}",
            remedy="put it right, or begin anew with --anew",
            where=f"{one_line(kept.name)}/{KEPT}",
        ) from error


def place_for(folder: Path, name: str, data: bytes) -> tuple[Path, Path, Job | None]:
    """Find where the work on a dropped drawing is kept and saved.

    Returns:
        The folder that Save writes, the folder that keeps the work, and the work on this very drawing that
        was kept there before. Other work of that name is left alone: the folder gets a number.
    """
    kept = next(k for k in _places(folder, Path(name).stem) if _free(k) or _holds(k, name, data))
    return cut_beside(kept), kept, job_kept(kept)


def drawings_in(folder: Path) -> list[dict[str, str]]:
    """List what can be worked on in a folder: drawings dropped before and those that lie there.

    Returns:
        For each its name, and the folder of kept work it lies in, or "".

    Raises:
        OSError: the folder cannot be read.
    """
    dropped, lying = [], []
    for item in sorted(folder.iterdir()):
        if item.is_symlink():
            continue
        if item.is_file() and item.suffix.lower() in DRAWINGS and item.name.isprintable():
            lying.append({"name": item.name, "inside": ""})
        elif item.is_dir() and item.name.endswith(_PAGE):
            inner = sorted(_written(item) - {KEPT, NAMED})
            dropped += [{"name": name, "inside": item.name} for name in inner[:1]]
    return [*dropped, *lying][:MOST]


def begun(folder: Path, name: str) -> bool:
    """Say whether work on a drawing of this folder is kept."""
    return KEPT in _written(keeper_for(folder, folder / name).folder)


def plain_name(name: str) -> str:
    """Make a file name out of what a browser sent: no folders, nothing hidden.

    >>> plain_name("../../etc/vine.svg"), plain_name("")
    ('vine.svg', 'drawing')
    """
    last = one_line(name.replace("\\", "/").rsplit("/", 1)[-1])
    kept = "".join(c for c in last if c.isalnum() or c in " ._-").strip(" .")[-80:]
    return kept if kept and kept not in {KEPT, NAMED} else "drawing"


def _places(folder: Path, stem: str) -> Iterator[Path]:
    """Give the folders that may keep work of this name, in order."""
    yield folder / f"{stem}{_PAGE}"
    for number in itertools.count(2):
        yield folder / f"{stem}-{number}{_PAGE}"


def _free(kept: Path) -> bool:
    """Say whether nothing is there yet."""
    if not os.path.lexists(kept):
        return True
    return kept.is_dir() and not any(kept.iterdir())


def _is_of(kept: Path, art: Path) -> bool:
    """Say whether a folder keeps work on this drawing; one that does not say on which may."""
    names = _written(kept)
    if NAMED in names and (kept / NAMED).is_file():
        return (kept / NAMED).read_text(encoding="utf-8", errors="replace").strip() == art.name
    if dropped := names - {KEPT, NAMED}:
        return art.name in dropped and art.is_file() and _holds(kept, art.name, art.read_bytes())
    return KEPT in names


def _written(folder: Path) -> frozenset[str]:
    """Names of our files in a folder; none when there is no such folder."""
    return names_written(folder) if folder.is_dir() else frozenset()


def _holds(kept: Path, name: str, data: bytes) -> bool:
    if name not in _written(kept):
        return False
    there = kept / name
    return there.is_file() and there.stat().st_size == len(data) and there.read_bytes() == data
