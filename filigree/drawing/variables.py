"""Variables of style sheets: `--name: value` on an element, `var(--name, other)` on it and in it."""

import re
from collections.abc import Mapping

VARIABLE = "--"
CALL = re.compile(r"var\(\s*(--[^\s,()]+)\s*(,?)", re.IGNORECASE)
DEEPEST = 32  # calls within one another
LONGEST = 10_000  # characters of a value


def with_variables(own: Mapping[str, str], above: Mapping[str, str]) -> dict[str, str]:
    """Put in what variables stand for (CSS Custom Properties 1, 3).

    Args:
        own: declarations of one element.
        above: of its parent, where the variables it takes over are found too.

    Returns:
        The declarations; one that names a variable which is not there is left out.

    >>> with_variables({"fill": "var(--ink)", "stroke": "var(--no, red)"}, {"--ink": "#123"})
    {'fill': '#123', 'stroke': 'red'}
    """
    values = {k: v for k, v in above.items() if k.startswith(VARIABLE)}
    values |= {k: v for k, v in own.items() if k.startswith(VARIABLE)}
    known: dict[str, str | None] = {}
    found = {name: _put_in(value, values, known, 0) for name, value in own.items()}
    return {name: value for name, value in found.items() if value is not None}


def _put_in(
    text: str, values: Mapping[str, str], known: dict[str, str | None], depth: int
) -> str | None:
    """One value with its variables put in, each worked out once; None when one is not there or names itself."""
    while call := CALL.search(text):
        end = _closing(text, call.end())
        if depth > DEEPEST or end < 0 or len(text) > LONGEST:
            return None
        name = call[1]
        if name not in known:
            known[name] = None
            if name in values:
                known[name] = _put_in(values[name], values, known, depth + 1)
        put_in = known[name]
        if put_in is None and call[2]:
            put_in = _put_in(text[call.end() : end].strip(), values, known, depth + 1)
        if put_in is None:
            return None
        text = text[: call.start()] + put_in + text[end + 1 :]
    return text


def _closing(text: str, at: int) -> int:
    """Place of the bracket that closes a call, or -1."""
    depth = 1
    for i in range(at, len(text)):
        depth += (text[i] == "(") - (text[i] == ")")
        if depth == 0:
            return i
    return -1
