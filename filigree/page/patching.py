"""Patching: what of a state has changed since the one that the page shows, so that no more than this is sent."""

from typing import Any

Told = dict[str, Any]
ROWS = ("fields",)  # lists whose rows keep their place
LISTS = ("findings",)  # lists whose rows come, go and move


def patch(before: Told, now: Told) -> Told:
    """Give what is new in `now`, for a page that shows `before`.

    `rows` holds, for a list of the same length, the rows that differ by their place. `runs` holds, for any other
    list, its rows in order: a pair `[first, count]` for rows taken from the list before, or a row.

    >>> one, two, new = {"say": "x"}, {"say": "y"}, {"say": "z"}
    >>> before = {"turn": 1, "holds": True, "fields": [], "findings": [one, two]}
    >>> patch(before, {**before, "turn": 2, "findings": [two, new]})["runs"]
    {'findings': [[1, 1], {'say': 'z'}]}
    """
    new = {
        key: value
        for key, value in now.items()
        if key not in ROWS + LISTS and (key not in before or before[key] != value)
    }
    rows = {
        key: {str(k): row for k, row in enumerate(now[key]) if row != before[key][k]}
        for key in ROWS
        if key in now and before.get(key) != now[key]
    }
    runs = {
        key: _runs(before.get(key, []), now[key])
        for key in LISTS
        if key in now and before.get(key) is not now[key]
    }
    return {"since": before["turn"], **new, "turn": now["turn"], "rows": rows, "runs": runs}


def fits(before: Told, now: Told) -> bool:
    """Say whether a patch from one state to another can be made: both show the same fields."""
    return (
        "serial" in before
        and before["serial"] == now.get("serial")
        and all(len(before[key]) == len(now[key]) for key in ROWS)
    )


def _runs(before: list[Any], now: list[Any]) -> list[Any]:
    """Write a list as stretches of an earlier one and what is new in it; the same row is the same object."""
    place = {id(row): k for k, row in enumerate(before)}
    out: list[Any] = []
    for row in now:
        k = place.get(id(row))
        if k is None:
            out.append(row)
        elif out and isinstance(out[-1], list) and sum(out[-1]) == k:
            out[-1][1] += 1
        else:
            out.append([k, 1])
    return out
