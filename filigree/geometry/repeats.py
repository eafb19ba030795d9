"""Repeats: lines that were drawn more than once, which cutting them against each other takes ill."""

from collections.abc import Iterable

from filigree.geometry.types import FloatArray


def once_each(lines: Iterable[FloatArray]) -> tuple[FloatArray, ...]:
    """Keep one of lines that are the same point by point, in either direction; the first stays.

    A thousand strokes over one another are crossed pair by pair where they are noded: 13 s for 2,000.
    """
    seen: set[bytes] = set()
    kept = []
    for line in lines:
        forward, backward = line.tobytes(), line[::-1].tobytes()
        if forward in seen:
            continue
        seen |= {forward, backward}
        kept.append(line)
    return tuple(kept)
