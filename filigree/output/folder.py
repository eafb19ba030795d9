"""Folder: write a set of files in one step, so that the old folder or the new one is there, never a mix.

The files go into a temporary folder beside the target, which is then exchanged with the old one. A marker
file lists what we wrote, so that a folder of somebody else is never touched and a stranger's file inside
one of ours moves along.
"""

import errno
import hashlib
import itertools
import os
import shutil
from collections.abc import Iterator, Mapping
from contextlib import suppress
from pathlib import Path

from filigree.errors import FiligreeError
from filigree.output import swap

MARKER = ".filigree"
SETTINGS = "job.toml"  # the one file that a maker changes in place: the marker knows how it was
_HEAD = "These files were written by filigree; writing again replaces them and leaves others alone."
_DIGEST = "sha256/"  # begins a line of the marker that is no name
_TRY = {
    errno.ENOSPC: "free some space",
    errno.EDQUOT: "free some space",
    errno.EACCES: "choose a folder you may write to, with -o",
    errno.EPERM: "choose a folder you may write to, with -o",
    errno.EROFS: "choose a folder you may write to, with -o",
    errno.ENAMETOOLONG: "choose a shorter name, with -o",
    errno.EBUSY: "name a folder inside it with -o",
    errno.EXDEV: "name a folder inside it with -o",
}


def write_folder(out: Path, files: Mapping[str, bytes]) -> None:
    """Make `out` hold exactly `files`, its marker, and what others had put there.

    Args:
        out: the folder; its parents are made when missing. A link to a folder is followed.
        files: contents by plain name.

    Raises:
        FiligreeError: not a folder of ours, or the system will not have it written; what was there
            before is as it was.
        ValueError: a name that is no plain file name.
    """
    for name in files:
        if name in {"", ".", "..", MARKER} or Path(name).name != name:
            raise ValueError(f"not a plain file name: {name!r}")
    if "\0" in str(out):
        raise FiligreeError("not a usable name", remedy="name another folder with -o", where="-o")
    with swap.undisturbed():
        _write_whole(out, files)


def settled(out: Path) -> Path:
    """Follow links to where a folder really is.

    Raises:
        FiligreeError: links that lead to one another.
    """
    try:
        return out.resolve()
    except (OSError, RuntimeError) as error:  # which of them depends on the Python
        raise FiligreeError(
            "its links lead nowhere", remedy="name another folder with -o", where=str(out)
        ) from error


def check_ours(target: Path) -> None:
    """Refuse a target that cannot be made, is no folder, or holds something that we did not write.

    Raises:
        FiligreeError: such a target, or one that cannot be looked into.
    """
    try:
        _check_ours(target)
    except OSError as error:
        raise _refused(target, error) from error


def _check_ours(target: Path) -> None:
    above = next(p for p in target.absolute().parents if p.exists())
    if not above.is_dir():
        raise FiligreeError(
            "this is a file, no folder can be made in it",
            remedy="name another folder with -o",
            where=str(above),
        )
    if not os.access(
        above, os.W_OK | os.X_OK, effective_ids=os.access in os.supports_effective_ids
    ):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
    if not os.path.lexists(target):
        return
    if target in (cwd := Path.cwd(), *cwd.parents):
        raise FiligreeError(
            "the folder you stand in cannot be exchanged",
            remedy="name a folder inside it with -o",
            where=str(target),
        )
    if not target.is_dir():
        raise FiligreeError(
            "there is a file of that name in the way",
            remedy="name another folder with -o",
            where=str(target),
        )
    if not (target / MARKER).is_file() and any(target.iterdir()):
        raise FiligreeError(
            "this folder was not written by filigree and stays as it is",
            remedy="name another or an empty folder with -o",
            where=str(target),
        )


def names_written(folder: Path) -> frozenset[str]:
    """Names of the files that our marker in a folder lists; empty when there is none."""
    return frozenset(line for line in _lines_of(folder) if line and Path(line).name == line)


def changed_by_hand(folder: Path) -> bytes | None:
    """Settings in a folder of ours, when they are not as we wrote them; None when they are, or there are none."""
    known = _lines_of(folder, _DIGEST)
    with suppress(FileNotFoundError, NotADirectoryError):
        there = (folder / SETTINGS).read_bytes()
        if known and _digest(there) not in known:
            return there
    return None


def _digest(settings: bytes) -> str:
    return f"{_DIGEST}{hashlib.sha256(settings).hexdigest()}"


def _marked(files: Mapping[str, bytes], before: Path) -> bytes:
    """Write the marker of a set of files; settings that a hand has changed once stay so until they are taken away."""
    settings = files.get(SETTINGS)
    known = [] if settings is None else [_digest(settings)]
    if known and changed_by_hand(before) is not None:
        known = _lines_of(before, _DIGEST)
    return "\n".join([_HEAD, *sorted(files), *known, ""]).encode()


def _lines_of(folder: Path, begin: str = "") -> list[str]:
    """Lines of our marker in a folder that begin with a word, but for its head; none when there is no marker."""
    try:
        lines = (folder / MARKER).read_text(encoding="utf-8", errors="replace").splitlines()
    except FileNotFoundError:
        return []
    return [line for line in lines[1:] if line.startswith(begin)]


def _write_whole(out: Path, files: Mapping[str, bytes]) -> None:
    """Check, lock, clear up, write; what the system refuses is told in one line."""
    made: list[Path] = []
    try:
        target = settled(out)
        check_ours(target)
        made = _make_parents(target)
        with swap.locked(_beside(target, "lock")):
            check_ours(target)
            _clear_leftovers(target)
            _write(target, files)
    except (OSError, RuntimeError) as error:  # the latter: links in a circle, up to Python 3.12
        _unmake(made)
        raise _refused(out, error) from error
    except BaseException:
        _unmake(made)
        raise


def _write(target: Path, files: Mapping[str, bytes]) -> None:
    """Fill a folder beside the target, exchange the two, take the old one away."""
    fresh, old = _beside(target, "new"), _beside(target, "old")
    try:
        fresh.mkdir()
        # the marker comes first and goes last: what is left of a killed run can be told apart by it
        _write_file(fresh / MARKER, _marked(files, target))
        for name, data in files.items():
            _write_file(fresh / name, data)
        if target.exists():
            _link_strangers(target, fresh)
            fresh.chmod(target.stat().st_mode & 0o7777)
            _sync(fresh)
            swap.exchange(fresh, target, aside=old)
        else:
            _sync(fresh)
            fresh.rename(target)
        _sync(target.parent)
    finally:
        for left in (fresh, old):
            _retire(left, target)


def _link_strangers(target: Path, fresh: Path) -> None:
    """Give the new folder what others put into the old one, so that the exchange keeps it in place.

    What cannot be linked follows after the exchange.
    """
    for item in _strangers(target):
        place = next(p for p in _places(item, fresh) if not os.path.lexists(p))
        with suppress(OSError):
            if item.is_dir() and not item.is_symlink():
                shutil.copytree(item, place, symlinks=True, copy_function=os.link)
            else:
                os.link(item, place, follow_symlinks=False)


def _retire(left: Path, target: Path) -> None:
    """Take a folder of ours away; what others put into it is brought to the target first."""
    if not _is_folder(left):
        return
    if target.exists():
        for item in _strangers(left):
            _bring(item, target)
    for name in names_written(left):
        with suppress(FileNotFoundError):
            (left / name).unlink()
    with suppress(FileNotFoundError):
        (left / MARKER).unlink()
    left.rmdir()


def _bring(item: Path, folder: Path) -> None:
    """Move one thing of a stranger's into a folder, unless it is there already."""
    for place in _places(item, folder):
        if not os.path.lexists(place):
            item.rename(place)
            return
        if _is_folder(item) and _is_folder(place):
            for inner in sorted(item.iterdir()):
                _bring(inner, place)
            item.rmdir()
            return
        if _is_same(item, place):
            item.unlink()
            return


def _places(item: Path, folder: Path) -> Iterator[Path]:
    """Where a stranger's thing may go: under its own name, or beside a file of ours of that name."""
    yield folder / item.name
    yield folder / f"{item.name}.yours"
    for number in itertools.count(2):
        yield folder / f"{item.name}.yours{number}"


def _is_folder(item: Path) -> bool:
    return item.is_dir() and not item.is_symlink()


def _is_same(one: Path, other: Path) -> bool:
    """True for two names of one file, or two links that say the same."""
    if os.path.samestat(one.lstat(), other.lstat()):
        return True
    return one.is_symlink() and other.is_symlink() and one.readlink() == other.readlink()


def _strangers(folder: Path) -> list[Path]:
    """What others put into a folder of ours, in order of name; a folder or link under our name too."""
    ours = names_written(folder) | {MARKER}
    return [
        item
        for item in sorted(folder.iterdir())
        if item.name not in ours or item.is_symlink() or not item.is_file()
    ]


def _clear_leftovers(target: Path) -> None:
    """Finish what a killed run left; called under the lock, so no living run owns them."""
    for left in (_beside(target, "old"), _beside(target, "new")):
        if not _is_folder(left):
            continue
        if not target.exists() and (left.name.endswith("old") or _strangers(left)):
            left.rename(target)  # the target went missing in the middle: this is the last whole one
        else:
            _retire(left, target)


def _beside(target: Path, kind: str) -> Path:
    return target.with_name(f".{target.name}.filigree-{kind}")


def _make_parents(target: Path) -> list[Path]:
    """Make the folders above, and give those that were missing, uppermost first."""
    missing = [p for p in reversed(target.parents) if not p.exists()]
    target.parent.mkdir(parents=True, exist_ok=True)
    return missing


def _unmake(made: list[Path]) -> None:
    """Take away folders made for nothing."""
    for folder in reversed(made):
        with suppress(OSError):
            folder.rmdir()


def _write_file(path: Path, data: bytes) -> None:
    with path.open("xb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def _sync(folder: Path) -> None:
    """Have the system write a folder's entries to disk, where it can."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _refused(out: Path, error: Exception) -> FiligreeError:
    """One line for what the system said."""
    reason = (error.strerror if isinstance(error, OSError) else "") or "not a usable name"
    number = error.errno if isinstance(error, OSError) else None
    remedy = _TRY.get(number or 0, "name another folder with -o")
    return FiligreeError(f"cannot be written ({reason.lower()})", remedy=remedy, where=str(out))
