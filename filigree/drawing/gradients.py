"""Gradients: their stops and vectors, and the mean colour of all of it."""

from bisect import bisect
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from xml.etree.ElementTree import Element

from filigree.drawing.numbers import length
from filigree.drawing.paints import BLACK, Paint, read_colour
from filigree.drawing.styles import Sheets, Style, styled

LONGEST_CHAIN = 32  # gradients that refer to one another


@dataclass(frozen=True, slots=True, eq=False)
class Gradient:
    """A gradient with what it takes from those it refers to.

    Attributes:
        kind: "linearGradient" or "radialGradient".
        attributes: of the whole chain, the nearest first to count.
        places: offset of each stop, 0 to 1, never falling; the first is 0 and the last 1.
        paints: colour of each stop.
    """

    kind: str
    attributes: dict[str, str]
    places: tuple[float, ...]
    paints: tuple[Paint, ...]

    @property
    def mean(self) -> Paint:
        """Mean colour over the length, weighted by opacity."""
        return self.mean_of(((0.0, 1.0),))

    def mean_of(self, spans: Sequence[tuple[float, float]]) -> Paint:
        """Mean colour over parts of the length, weighted by opacity."""
        total = [0.0, 0.0, 0.0]
        weights = whole = 0.0
        for start, end in spans:
            places = [start, *(place for place in self.places if start < place < end), end]
            for left, right in pairwise(places):
                paint = self.at((left + right) / 2)
                weight = (right - left) * paint.alpha
                whole += right - left
                weights += weight
                total = [
                    sum_ + weight * part for sum_, part in zip(total, paint.colour, strict=True)
                ]
        if weights <= 0:
            return Paint(BLACK, 0.0)
        colour = (total[0] / weights, total[1] / weights, total[2] / weights)
        return Paint(colour, min(1.0, weights / whole))

    def at(self, place: float) -> Paint:
        """Colour at an offset that is no stop's own."""
        k = max(1, min(bisect(self.places, place), len(self.places) - 1))
        low, high = self.places[k - 1], self.places[k]
        return self.paints[k - 1].towards(self.paints[k], (place - low) / (high - low or 1.0))

    def faded(self, share: float) -> "Gradient":
        """The same gradient at a share of its opacity."""
        return replace(self, paints=tuple(paint.faded(share) for paint in self.paints))


def read_gradient(
    gradient: Element,
    ids: dict[str, Element],
    sheets: Sheets,
    style_of: Callable[[Element], Style],
) -> Gradient | None:
    """Read a gradient; None when neither it nor one it refers to has stops.

    Args:
        gradient: the element.
        ids: elements by name.
        sheets: style sheets, for the stops.
        style_of: style of an element where it stands.
    """
    attributes: dict[str, str] = {}
    stops: list[Element] = []
    holder: Element | None = gradient
    above: Style = {}
    kind = str(gradient.tag)
    for _ in range(LONGEST_CHAIN):
        if holder is None or holder.tag not in {"linearGradient", "radialGradient"}:
            break
        attributes = {**holder.attrib, **attributes}
        if not stops:
            stops = [child for child in holder if child.tag == "stop"]
            above = style_of(holder) if stops else {}
        holder = ids.get(holder.get("href", "").strip()[1:])
    if not stops:
        return None
    places: list[float] = []
    paints: list[Paint] = []
    for stop in stops:
        style = styled(stop, above, sheets)
        colour, current = style.get("stop-color", "black"), style.get("color", "black")
        paint = read_colour(colour, current) or Paint(BLACK)
        paints.append(paint.faded(_share(style.get("stop-opacity", "1"))))
        place = _share(stop.get("offset", "0"))
        places.append(max(place, places[-1]) if places else place)
    return Gradient(kind, attributes, (0.0, *places, 1.0), (paints[0], *paints, paints[-1]))


def _share(text: str) -> float:
    try:
        return min(1.0, max(0.0, length(text, whole=1.0)))
    except ValueError:
        return 1.0
