"""Job files: `job.toml` read strictly, written back short, and overridden by options."""

import math
import re
import stat
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import msgspec
import tomli_w

from filigree.errors import FiligreeError
from filigree.job.misfits import check_keys, explain
from filigree.job.sections import ASSUMED_FACE, Job
from filigree.units import parse_thickness

LARGEST = 2_000_000  # bytes of a job file
DEEPEST = 32  # nested brackets, or parts of a dotted key

_BRACKET = re.compile(r"[\[\]{}]")
_PIECES = re.compile(r"[=,\[\]{}]")
_HEADER = (
    "# Settings of this piece for filigree; what is not here keeps its default. Lengths are mm.\n"
)
_ASSUMED = f"# No thickness was given for the face: {ASSUMED_FACE} was assumed.\n"


def load_job(path: Path) -> Job:
    """Read a `job.toml`.

    Raises:
        FiligreeError: not a readable TOML file, an unknown key (the nearest known one is named), or a
            value of the wrong type, out of range, not finite or reversed.
    """
    return job_from(_read(path), where=path.name)


def job_from(text: str, *, where: str) -> Job:
    r"""Read the text of a job file; `where` names it in messages.

    Raises:
        FiligreeError: as for `load_job`.

    >>> job_from('[face]\nthickness = "4-5 oz"', where="job.toml").face.span.as_mm()
    '1.6-2.0 mm'
    """
    if _depth(text) > DEEPEST:
        raise FiligreeError(
            f"keys or brackets are nested deeper than {DEEPEST}",
            remedy="check the file",
            where=where,
        )
    try:
        settings = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise FiligreeError(
            f"not valid TOML: {error}", remedy="put text in quotes and check the line", where=where
        ) from error
    except RecursionError as error:
        raise FiligreeError("nested too deeply", remedy="check the file", where=where) from error
    except ValueError as error:  # more digits than Python turns into a number
        raise FiligreeError(
            "a number has too many digits", remedy="write a plain figure", where=where
        ) from error
    return _checked(settings, where=where)


def with_overrides(job: Job, settings: Mapping[str, Any], *, where: str = "settings") -> Job:
    """A job with some settings changed.

    Args:
        job: the job as it stands.
        settings: new values by dotted key, for example `{"face.thickness": "4-5 oz"}`.
        where: where the values come from, for messages.

    Raises:
        FiligreeError: a key or value that `job.toml` would not take either.

    >>> with_overrides(Job(), {"cut.way": "laser"}).cut.way
    'laser'
    """
    if not settings:
        return job
    tree = as_settings(job)
    for key, value in settings.items():
        *tables, last = key.split(".")
        place = tree
        for table in tables:
            place = place.setdefault(table, {})
            if not isinstance(place, dict):
                raise FiligreeError(
                    f"'{table}' is no table, so there is no '{key}'",
                    remedy="name a setting like face.thickness",
                    where=where,
                )
        place[last] = value
    return _checked(tree, where=where)


def as_settings(job: Job) -> dict[str, Any]:
    """The job as plain tables: only what differs from the defaults, tables that count by being there."""
    tree = _difference(msgspec.to_builtins(job), msgspec.to_builtins(Job()))
    for name in ("stiffener", "stitch"):
        if getattr(job, name) is not None:
            tree.setdefault(name, {})
    return tree


def dump_job(job: Job) -> str:
    """Write a job as TOML; reading it back gives an equal job."""
    header = _HEADER + (_ASSUMED if job.face.assumed else "")
    body = tomli_w.dumps(as_settings(job))
    return f"{header}\n{body}" if body else header


def _read(path: Path) -> str:
    """Text of a regular file of sane size."""
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            where = path.name or str(path)
            raise FiligreeError("not a regular file", remedy="name a job.toml", where=where)
        with path.open("rb") as file:
            data = file.read(LARGEST + 1)
    except (OSError, ValueError) as error:  # ValueError: a name the system cannot hold
        reason = (error.strerror if isinstance(error, OSError) else "") or "bad name"
        raise FiligreeError(
            f"cannot be read ({reason.lower()})", remedy="check path and rights", where=path.name
        ) from error
    if len(data) > LARGEST:
        raise FiligreeError(
            f"larger than {LARGEST // 1_000_000} MB", remedy="name a job.toml", where=path.name
        )
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise FiligreeError("not UTF-8 text", remedy="save it as UTF-8", where=path.name) from error


def _depth(text: str) -> int:
    """Deepest nesting of brackets and longest dotted key, counted without regard to strings.

    The parser recurses into the one and takes quadratic time for the other.
    """
    depth = deepest = 0
    for line in text.splitlines():
        if line.lstrip().startswith("#"):
            continue
        for bracket in _BRACKET.findall(line):
            depth = depth + 1 if bracket in "[{" else max(0, depth - 1)
            deepest = max(deepest, depth)
        deepest = max(deepest, *(piece.count(".") for piece in _PIECES.split(line)))
    return deepest


def _checked(settings: dict[str, Any], *, where: str) -> Job:
    """Turn plain tables into a job, every value checked."""
    check_keys(settings, where=where)
    _check_finite(settings, (), where=where)
    try:
        job = msgspec.convert(settings, Job)
    except msgspec.ValidationError as error:
        raise explain(error, settings, where=where) from error
    _check_words(job, where=where)
    _check_order(job, where=where)
    return job


def _check_finite(value: object, path: tuple[str, ...], *, where: str) -> None:
    """Refuse nan and inf wherever they stand."""
    if isinstance(value, Mapping):
        for key, inner in value.items():
            _check_finite(inner, (*path, str(key)), where=where)
    elif isinstance(value, list | tuple):
        for inner in value:
            _check_finite(inner, path, where=where)
    elif isinstance(value, float) and not math.isfinite(value):
        raise FiligreeError(
            f"{value} is not a finite number",
            remedy="write a plain figure",
            where=f"{where}, {_key(path)}",
        )


def _check_words(job: Job, *, where: str) -> None:
    """Read what is written as text, so that a fault shows at once."""
    for name in ("face", "inlay", "backing", "stiffener"):
        ply = getattr(job, name)
        if ply is not None and ply.thickness:
            parse_thickness(ply.thickness, where=f"{where}, [{name}] thickness")
    pull = job.use.pull
    if pull not in {"long", "x", "y"} and not _is_angle(pull):
        raise FiligreeError(
            f"pull '{pull}' is not understood",
            remedy='write "long", "x", "y" or an angle from -360 to 360 as text',
            where=f"{where}, [use] pull",
        )


def _is_angle(text: str) -> bool:
    """True for an angle in degrees."""
    try:
        return abs(float(text)) <= 360
    except ValueError:
        return False


def _check_order(job: Job, *, where: str) -> None:
    """Refuse pairs that contradict each other."""
    own = job.limits
    pairs = [
        (own.bridge_stop, own.bridge, "[limits] bridge_stop", "bridge"),
        (own.opening_min, own.opening_max, "[limits] opening_min", "opening_max"),
        (own.tongue, own.tongue_glued, "[limits] tongue", "tongue_glued"),
        *(
            (z.bridge_stop, z.bridge, f"zone '{z.name}' bridge_stop", "bridge")
            for z in job.use.zones
        ),
        *((z.box[0], z.box[2], f"zone '{z.name}' left", "right") for z in job.use.zones),
        *((z.box[1], z.box[3], f"zone '{z.name}' top", "bottom") for z in job.use.zones),
    ]
    for low, high, name, other in pairs:
        if low is not None and high is not None and low > high:
            raise FiligreeError(
                f"{low:g} is above {other} {high:g}",
                remedy="exchange the two",
                where=f"{where}, {name}",
            )


def _difference(value: dict[str, Any], plain: dict[str, Any]) -> dict[str, Any]:
    """Entries of `value` that are not those of `plain`; None, which TOML does not know, is left out."""
    out: dict[str, Any] = {}
    for key, inner in value.items():
        usual = plain.get(key)
        if isinstance(inner, dict):
            if kept := _difference(inner, usual if isinstance(usual, dict) else {}):
                out[key] = kept
        elif inner is not None and inner != usual:
            out[key] = _without_none(inner)
    return out


def _without_none(value: Any) -> Any:
    """Lists for tuples, and no None inside tables."""
    if isinstance(value, list | tuple):
        return [_without_none(v) for v in value]
    if isinstance(value, dict):
        return {k: _without_none(v) for k, v in value.items() if v is not None}
    return value


def _key(path: tuple[str, ...]) -> str:
    """A key as the maker sees it: `[limits] bridge`."""
    return f"[{'.'.join(path[:-1])}] {path[-1]}" if len(path) > 1 else ".".join(path)
