"""Cells: settings written as plain text, as in a table, taken as the kind of value that their key wants."""

import re

from msgspec import inspect

from filigree.errors import FiligreeError
from filigree.job.misfits import kinds_of, unknown
from filigree.job.sections import Job

_NUMBER = re.compile(r"[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d{1,3})?", re.ASCII)
_LONGEST = 40  # characters of a number


def check_key(key: str, *, where: str) -> None:
    """Refuse a dotted key that names no setting.

    Raises:
        FiligreeError: an unknown table or key (the nearest known one is named), or a key of what is no
            table.

    >>> check_key("face.thickness", where="names.csv")
    """
    kind: inspect.Type = inspect.type_info(Job)
    path: list[str] = []
    for step in key.split("."):
        tables = [k for k in kinds_of(kind) if isinstance(k, inspect.StructType)]
        if not tables:
            raise FiligreeError(
                f"'{'.'.join(path)}' is no table, so there is no '{key}'",
                remedy="name a setting like face.thickness; lists are given in job.toml",
                where=where,
            )
        known = {f.encode_name: f.type for table in tables for f in table.fields}
        if step not in known:
            raise unknown(step, list(known), tuple(path), where=where)
        kind = known[step]
        path.append(step)


def value_of(key: str, text: str) -> str | float | int | bool:
    """Give what a text says for a setting: a number or true or false only where the key takes one.

    >>> value_of("sheet.width", "120"), value_of("use.pull", "45"), value_of("use.carries", "true")
    (120, '45', True)
    """
    kind: inspect.Type = inspect.type_info(Job)
    for step in key.split("."):
        tables = (k for k in kinds_of(kind) if isinstance(k, inspect.StructType))
        inner = next((f.type for t in tables for f in t.fields if f.encode_name == step), None)
        if inner is None:
            return text
        kind = inner
    kinds = kinds_of(kind)
    if any(isinstance(k, inspect.BoolType) for k in kinds) and text in {"true", "false"}:
        return text == "true"
    numeric = any(isinstance(k, inspect.FloatType | inspect.IntType) for k in kinds)
    if numeric and len(text) <= _LONGEST and _NUMBER.fullmatch(text):
        return int(text) if text.lstrip("+-").isdigit() else float(text)
    return text
