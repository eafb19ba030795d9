"""What is wrong with a settings file, said in one line: unknown keys, wrong types, values out of range."""

import difflib
import re
from collections.abc import Mapping
from typing import Any

import msgspec
from msgspec import inspect

from filigree.errors import FiligreeError
from filigree.job.sections import Job

_TYPES = {
    "float": "a number",
    "int": "a whole number",
    "str": "text in quotes",
    "bool": "true or false",
    "array": "a list",
    "object": "a table",
    "null": "nothing",
    "datetime": "a date",
    "date": "a date",
    "time": "a time",
}
LONG = 1000  # bits of a number that is not written out
_PLACE = re.compile(r"^(?P<what>.*?)(?: - at `\$(?P<path>[^`]*)`)?$", re.DOTALL)


def check_keys(settings: Mapping[str, Any], *, where: str) -> None:
    """Refuse a key that no table knows, naming the nearest known one.

    Raises:
        FiligreeError: an unknown key.
    """
    _check_table(settings, inspect.type_info(Job), (), where=where)


def explain(error: msgspec.ValidationError, settings: Any, *, where: str) -> FiligreeError:
    """Turn a misfit of type or range into one line that says key, value and what is wanted."""
    found = _PLACE.match(str(error))
    what, path = (found["what"], found["path"] or "") if found else (str(error), "")
    steps = re.findall(r"[^.\[\]]+", path)
    value = _value_at(settings, steps)
    read = (
        "" if isinstance(value, dict | list) or value is None else f"{_short(value)} does not fit: "
    )
    at = f"{where}, {_key(steps)}" if steps else where
    return FiligreeError(read + _in_words(what), remedy=_choices(steps), where=at)


def unknown(key: str, known: list[str], path: tuple[str, ...], *, where: str) -> FiligreeError:
    """Say that a table, the one at `path`, has no such key, and name the nearest known one."""
    table = f"[{'.'.join(path)}] " if path else ""
    near = difflib.get_close_matches(key.lower().replace("-", "_"), known, n=1, cutoff=0.5)
    remedy = f"did you mean '{near[0]}'?" if near else f"known here: {', '.join(sorted(known))}"
    return FiligreeError(
        f"{table}unknown {'key' if path else 'table'} {_short(key)}", remedy=remedy, where=where
    )


def kinds_of(kind: inspect.Type) -> tuple[inspect.Type, ...]:
    """Types that a value may have."""
    return kind.types if isinstance(kind, inspect.UnionType) else (kind,)


def _check_table(value: Any, kind: inspect.Type, path: tuple[str, ...], *, where: str) -> None:
    """Walk tables and lists of tables along their types."""
    for one in kinds_of(kind):
        if isinstance(one, inspect.StructType) and isinstance(value, Mapping):
            known = {f.encode_name: f.type for f in one.fields}
            for key, inner in value.items():
                if key not in known:
                    raise unknown(str(key), list(known), path, where=where)
                _check_table(inner, known[key], (*path, str(key)), where=where)
        elif isinstance(one, inspect.VarTupleType) and isinstance(value, list | tuple):
            for inner in value:
                _check_table(inner, one.item_type, path, where=where)


def _in_words(what: str) -> str:
    """A validator's sentence in the maker's words."""
    if m := re.fullmatch(r"Expected `([^`]+)`, got `([^`]+)`", what):
        return f"wanted {_types(m[1])}, got {_types(m[2])}"
    if m := re.fullmatch(r"Expected `(\w+)` (>=|<=|>|<) (\S+)", what):
        word = {">=": "at least", "<=": "at most", ">": "above", "<": "below"}[m[2]]
        return f"wanted {_TYPES.get(m[1], m[1])} {word} {float(m[3]):g}"
    if m := re.fullmatch(r"Expected `array` of length (\d+), got (\d+)", what):
        return f"wanted a list of {m[1]}, got {m[2]}"
    if m := re.fullmatch(r"Expected `array` of length <= (\d+)", what):
        return f"wanted at most {m[1]} entries"
    if m := re.fullmatch(r"Object missing required field `(\w+)`", what):
        return f"'{m[1]}' is missing"
    if what.startswith("Expected `str` matching regex") and "x7f" in what:
        return "wanted a name of 1 to 100 letters, on one line"
    if what.startswith("Expected `str` matching regex"):
        return "wanted a colour: a name, or # and six digits"
    if what.startswith("Invalid enum value"):
        return "not one of the known values"
    return what[:1].lower() + what[1:]


def _types(names: str) -> str:
    words = [_TYPES.get(n.strip(), n.strip()) for n in names.split("|")]
    return " or ".join(w for w in words if w != "nothing" or len(words) == 1)


def _choices(steps: list[str]) -> str:
    """What a key takes: its choices, its spelling, or a general remedy."""
    if steps[-1:] == ["thickness"]:
        return 'write it like "4-5 oz" or "3.2 mm"'
    kind: inspect.Type | None = inspect.type_info(Job)
    for step in steps:
        kind = _inner(kind, step)
    for one in kinds_of(kind) if kind is not None else ():
        if isinstance(one, inspect.LiteralType):
            return "known: " + ", ".join(f"'{v}'" for v in sorted(map(str, one.values)) if v)
    return "correct or leave out this key"


def _inner(kind: inspect.Type | None, step: str) -> inspect.Type | None:
    """Type of one entry of a table or list."""
    for one in kinds_of(kind) if kind is not None else ():
        if isinstance(one, inspect.StructType):
            return next((f.type for f in one.fields if f.encode_name == step), None)
        if isinstance(one, inspect.VarTupleType):
            return one.item_type
        if isinstance(one, inspect.TupleType) and step.isdigit():
            return one.item_types[min(int(step), len(one.item_types) - 1)]
    return None


def _value_at(settings: Any, steps: list[str]) -> Any:
    """What was read at a place, or None when the place holds a table that misses something."""
    for step in steps:
        if isinstance(settings, Mapping):
            settings = settings.get(step)
        elif isinstance(settings, list | tuple) and step.isdigit() and int(step) < len(settings):
            settings = settings[int(step)]
        else:
            return None
    return settings


def _key(steps: list[str]) -> str:
    """A key as the maker sees it; entries of lists are counted from 1."""
    named = [f"no. {int(s) + 1}" if s.isdigit() else s for s in steps]
    return f"[{named[0]}] {' '.join(named[1:])}".strip()


def _short(value: object) -> str:
    if isinstance(value, int) and value.bit_length() > LONG:
        return "so large a number"
    text = repr(value)
    return text if len(text) <= 60 else text[:60] + "..."
