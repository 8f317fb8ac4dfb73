"""Places labels on a map so that none covers another, the truck or a lamp."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

import numpy as np
from matplotlib.contour import ContourSet
from numpy.typing import NDArray

__all__ = ["FreeSpace", "Rectangle", "along_paths", "around", "paths_of"]

Array = NDArray[np.float64]
_SHARES = (0.5, 0.25, 0.75, 0.12, 0.38, 0.62, 0.88, 0.05, 0.18, 0.32, 0.45, 0.55, 0.68, 0.82, 0.95)
Rectangle = tuple[float, float, float, float]  # left, bottom, right, top in data units


@dataclass
class FreeSpace:
    """What of a map is still free; a label once placed is taken.

    Parameters
    ----------
    limits : of the map (left, bottom, right, top), in data units.
    taken : rectangles that labels must not touch.
    lines : rectangles along thin lines, which a label touches only when it must be shown.
    """

    limits: Rectangle
    taken: list[Rectangle] = field(default_factory=list)
    lines: list[Rectangle] = field(default_factory=list)

    def take(self, rectangle: Rectangle) -> None:
        """Marks a rectangle as taken."""
        self.taken.append(rectangle)

    def place(
        self, centres: Iterable[tuple[float, float]], width: float, height: float, *, must: bool = False
    ) -> tuple[float, float] | None:
        """The first centre at which a label fits, now taken; None when there is none.

        Parameters
        ----------
        centres : places to try, best first.
        width, height : of the label, in data units.
        must : rather cross a thin line than leave the label out.
        """
        tries = list(centres)
        for avoid in ([*self.taken, *self.lines], self.taken)[: 2 if must else 1]:
            for x, y in tries:
                rectangle = (x - width / 2, y - height / 2, x + width / 2, y + height / 2)
                if self._inside(rectangle) and not any(_touch(rectangle, other) for other in avoid):
                    self.take(rectangle)
                    return x, y
        return None

    def _inside(self, one: Rectangle) -> bool:
        low_x, low_y, high_x, high_y = self.limits
        return low_x <= one[0] and low_y <= one[1] and one[2] <= high_x and one[3] <= high_y


def _touch(one: Rectangle, other: Rectangle) -> bool:
    return one[0] < other[2] and one[2] > other[0] and one[1] < other[3] and one[3] > other[1]


def paths_of(lines: ContourSet) -> list[Array]:
    """The pieces of an isolux line that are long enough to carry a label, each (n, 2)."""
    whole = [
        np.asarray(piece, dtype=np.float64)
        for path in lines.get_paths()
        for piece in path.to_polygons(closed_only=False)
    ]
    return [piece for piece in whole if len(piece) > 7]


def along_paths(paths: list[Array]) -> Iterator[tuple[float, float]]:
    """Places to try for the label of a line: along its longest path first, spread out.

    Parameters
    ----------
    paths : vertices (n, 2) of each piece of the line.
    """
    for path in sorted(paths, key=len, reverse=True):
        for share in _SHARES:
            x, y = path[int(share * (len(path) - 1))].tolist()
            yield x, y


def around(rectangle: Rectangle, width: float, height: float, gap: float) -> Iterator[tuple[float, float]]:
    """Places to try for the name of an area: along its outside first, then inside its corners.

    Parameters
    ----------
    rectangle : of the area, in data units.
    width, height : of the name.
    gap : between name and outline.
    """
    left, bottom, right, top = rectangle
    above, below = top + gap + height / 2, bottom - gap - height / 2
    inside_top, inside_bottom = top - gap - height / 2, bottom + gap + height / 2
    first, last, middle = left + width / 2, right - width / 2, (left + right) / 2
    for y in (above, below, inside_top, inside_bottom):
        yield from ((x, y) for x in (first, middle, last))
    for y in (inside_top, (bottom + top) / 2, inside_bottom):
        yield from ((left - gap - width / 2, y), (right + gap + width / 2, y))
    for step in range(1, 6):
        yield from ((x, y) for x in (first, last) for y in (above + step * height, below - step * height))
