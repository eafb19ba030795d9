"""Variations: a table (CSV) that makes several pieces of each drawing, one row a piece."""

import csv
import io
import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from filigree.errors import FiligreeError, one_line
from filigree.job.cells import check_key, value_of

NAME = "name"  # column that names the folder
LARGEST = 10_000_000  # bytes of a table
LONGEST = 100  # letters of a name
DELIMITERS = ",;\t"

_MARKS = "-_ "  # in a name, beside letters and digits
_DECIMAL_COMMA = re.compile(r"[-+]?\d+,\d+")
_EXAMPLE = 'give a first line like "name,face.thickness,sheet.width"'


@dataclass(frozen=True, slots=True, kw_only=True)
class Variation:
    """One row of the table.

    Attributes:
        label: end of the folder's name; "" when there is no table.
        values: settings by dotted key.
        where: file and line, for messages.
    """

    label: str = ""
    values: Mapping[str, Any] = field(default_factory=dict)
    where: str = ""


def variations_of(vary: Path | None) -> tuple[Variation, ...]:
    """Read the table of variations, in its order; one without a label when there is no table.

    Cells are parted by commas, semicolons or tabs, whichever the first line has. Under semicolons or tabs
    12,5 is twelve and a half. An empty cell leaves a setting as it is.

    Raises:
        FiligreeError: a table that cannot be read or used, with its line.
    """
    if vary is None:
        return (Variation(),)
    text = _text(vary)
    first = text.splitlines()[:1]
    delimiter = next((d for d in DELIMITERS if NAME in _split(first, d)), None)
    if delimiter is None:
        raise FiligreeError('no column "name"', remedy=_EXAMPLE, where=f"{vary.name}, line 1")
    lines = _lines(text, delimiter, where=vary.name)
    keys = _keys(lines[0][1], where=f"{vary.name}, line 1")
    found: dict[str, tuple[int, Variation]] = {}
    for number, cells in lines[1:]:
        where = f"{vary.name}, line {number}"
        row = dict(zip(keys, _counted(cells, keys, delimiter, where=where), strict=True))
        label = unicodedata.normalize("NFC", row.pop(NAME))
        _check_label(label, where=where)
        if (same := label.casefold()) in found:
            raise FiligreeError(
                f"the name {label!r} is in line {found[same][0]} already",
                remedy="give each row a name of its own",
                where=where,
            )
        values = {k: _value(k, cell, delimiter, where=where) for k, cell in row.items() if cell}
        found[same] = number, Variation(label=label, values=values, where=where)
    if not found:
        raise FiligreeError(
            "no row under the first line", remedy="give a row a piece", where=vary.name
        )
    return tuple(variation for _, variation in found.values())


def _text(vary: Path) -> str:
    try:
        if vary.stat().st_size > LARGEST:
            raise FiligreeError("larger than 10 MB", remedy="part it", where=vary.name)
        return vary.read_bytes().decode("utf-8-sig")
    except OSError as error:
        raise FiligreeError(
            f"cannot be read ({(error.strerror or 'bad name').lower()})",
            remedy="check path and rights",
            where=str(vary),
        ) from error
    except UnicodeDecodeError as error:
        line = error.object.count(b"\n", 0, error.start) + 1
        raise FiligreeError(
            f"not UTF-8 text (byte {error.object[error.start]:#04x})",
            remedy='save it as "CSV UTF-8"',
            where=f"{vary.name}, line {line}",
        ) from error


def _split(first: Sequence[str], delimiter: str) -> list[str]:
    return [cell.strip() for line in csv.reader(first, delimiter=delimiter) for cell in line]


def _lines(text: str, delimiter: str, *, where: str) -> list[tuple[int, list[str]]]:
    """Cells by number of the line; lines with nothing in them are left out."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        lines = [(reader.line_num, [cell.strip() for cell in cells]) for cells in reader]
    except csv.Error as error:
        raise FiligreeError(
            f"quotation marks are not in pairs, or a cell is too long ({error})",
            remedy="put a cell with quotation marks in quotation marks, and double those inside",
            where=f"{where}, line {reader.line_num}",
        ) from error
    return [(number, cells) for number, cells in lines if any(cells)]


def _keys(first: Sequence[str], *, where: str) -> list[str]:
    """Check the columns; those without a heading are numbered, and must stay empty."""
    for key in first:
        if key and first.count(key) > 1:
            raise FiligreeError(
                f"column {key!r} is there twice", remedy="leave one out", where=where
            )
        if key not in {"", NAME}:
            check_key(key, where=where)
    return [key or f" {number}" for number, key in enumerate(first, start=1)]


def _counted(
    cells: Sequence[str], keys: Sequence[str], delimiter: str, *, where: str
) -> Sequence[str]:
    """Refuse a row that has not one cell a column, or a cell under no heading."""
    if len(cells) != len(keys):
        known = {",": "comma", ";": "semicolon", "\t": "tab"}[delimiter]
        raise FiligreeError(
            f"{len(cells)} cell{'s' * (len(cells) != 1)} under {len(keys)} column{'s' * (len(keys) != 1)}",
            remedy=f"part cells by one {known} each, and write decimals with a point, as 12.5",
            where=where,
        )
    for key, cell in zip(keys, cells, strict=True):
        if cell and key.startswith(" "):
            raise FiligreeError(
                f"{cell[:40]!r} stands in column{key}, which has no heading",
                remedy="name the setting in the first line",
                where=where,
            )
    return cells


def _check_label(label: str, *, where: str) -> None:
    """Refuse what makes no good name for a folder; letters of any script do."""
    if not label:
        raise FiligreeError(
            "the name is empty", remedy="give each row a name of its own", where=where
        )
    if len(label) > LONGEST:
        raise FiligreeError(
            f"the name {label[:20]!r}... is longer than {LONGEST} letters",
            remedy="shorten it",
            where=where,
        )
    odd = [c for c in label if c not in _MARKS and unicodedata.category(c)[0] not in "LMN"]
    if odd:
        listed = " ".join(f"'{one_line(c)}'" for c in dict.fromkeys(odd))
        raise FiligreeError(
            f"the name {label!r} has {listed} in it, which is no name for a folder",
            remedy="use letters, digits, spaces, - and _",
            where=where,
        )


def _value(key: str, cell: str, delimiter: str, *, where: str) -> Any:
    """Give what a cell says for a setting."""
    value = value_of(key, cell)
    if not isinstance(value, str) or not _DECIMAL_COMMA.fullmatch(cell):
        return value
    pointed = value_of(key, cell.replace(",", "."))
    if delimiter == "," and not isinstance(pointed, str):
        raise FiligreeError(
            f"{key} {cell!r} is no number",
            remedy="write decimals with a point, as 12.5",
            where=where,
        )
    return value if isinstance(pointed, str) else pointed
