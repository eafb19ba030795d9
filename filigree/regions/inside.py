"""Inside: points well inside shapes, worked out for all of them when the first is asked for."""

from functools import cached_property

from filigree.geometry.poles import poles
from filigree.geometry.types import XY, FloatArray, Shapes


class Inside:
    """A point well inside each of some shapes; finding them takes as long as finding the shapes."""

    def __init__(self, shapes: Shapes) -> None:
        self._shapes = shapes

    @cached_property
    def at(self) -> list[XY]:
        """The points (poles of inaccessibility), mm."""
        return [(x, y) for x, y in self._found[0].tolist()]

    @cached_property
    def room(self) -> list[float]:
        """How far each is from the edge of its shape, mm."""
        return [float(off) for off in self._found[1].tolist()]

    @cached_property
    def _found(self) -> tuple[FloatArray, FloatArray]:
        return poles(self._shapes)
