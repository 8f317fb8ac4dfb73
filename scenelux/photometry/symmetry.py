"""Unfolds the symmetry that a file leaves out: which planes a list of horizontal angles stands for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scenelux.photometry.directions import PhotometricType

__all__ = [
    "LEAST_STEP_DEG",
    "MATCH_DEG",
    "NONE",
    "RANGES_DEG",
    "SIDEWAYS",
    "Refused",
    "listed_planes",
    "symmetry_of",
    "unfold",
]

Array = NDArray[np.float64]
Indices = NDArray[np.int64]
Warn = Callable[[int, str], None]

ROTATIONAL, QUADRANTS, HALVES, NONE = "rotational", "quadrants", "mirrored in the plane 0-180", "none"
SIDEWAYS = "mirrored in the plane 90-270"
"""The symmetry of planes listed from 90 to 270 degrees."""

RANGES_DEG = {
    ROTATIONAL: (0.0, 0.0),
    QUADRANTS: (0.0, 90.0),
    HALVES: (0.0, 180.0),
    SIDEWAYS: (90.0, 270.0),
    NONE: (0.0, 360.0),
}
"""Symmetry of type C -> first and last plane that stand for all [deg]."""

LEAST_STEP_DEG = 1e-7
"""Angles nearer to each other count as one, in every format."""

MATCH_DEG = 0.05  # within which an end angle counts as the one that the format names

_CIRCLE_ENDS = "type C ends at 0, 90, 180 or 360 and begins at 0, or runs from 90 to 270"
_PLANE_ENDS = "types A and B run from 0 or -90 to 90, or over an equal range to both sides"


class Refused(Exception):
    """Angles that stand for no distribution: number of the fault, which list, what is wrong, what would be accepted."""

    def __init__(self, code: int, key: str, problem: str, accepted: str) -> None:
        super().__init__(problem)
        self.code, self.key, self.problem, self.accepted = code, key, problem, accepted


def unfold(kind: PhotometricType, h: Array, v: Array, candela: Array, warn: Warn) -> tuple[Array, Array, Array, str]:
    """All planes of a distribution, from those that the file lists, and the symmetry in words.

    Parameters
    ----------
    kind : photometric type.
    h, v : horizontal and vertical angles as listed, ascending [deg].
    candela : (nH, nV) [cd].
    warn : takes number and sentence of a warning.

    Source
    ------
    ANSI/IESNA LM-63-2002, clauses 5.17 and 5.18; 90 to 270 degrees as described by implementers of the
    edition of 1995.
    """
    if kind == "C":
        v = _vertical_range(v, ((0.0, 90.0), (90.0, 180.0)), (0.0, 180.0), warn)
        circle = _circle(h, candela, warn)
        return circle.h, v, circle.candela(candela), circle.symmetry
    v = _vertical_range(v, ((-90.0, 0.0), (90.0, 90.0)), (-90.0, 90.0), warn)
    h, rows, across = _mirrored(_plane_range(h, warn))
    v, columns, up = _mirrored(v)
    words = ["mirrored in H" if across else NONE, *(["mirrored in V"] if up else [])]
    return h, v, candela[np.ix_(rows, columns)], " and ".join(words)


def _snapped(key: str, values: Array, *ends: float) -> Array:
    """The list with its first and last angle moved onto named ones within the tolerance."""
    moved = values.copy()
    for at in (0, -1):
        for end in ends:
            if abs(values[at] - end) <= MATCH_DEG:
                moved[at] = end
    if (np.diff(moved) <= LEAST_STEP_DEG).any():
        accepted = f"give each angle once; those within {MATCH_DEG:g} deg of an end angle count as it"
        raise Refused(45, key, "are not ascending", accepted)
    return moved


def _vertical_range(
    v: Array, ends: tuple[tuple[float, float], tuple[float, float]], limits: tuple[float, float], warn: Warn
) -> Array:
    v = _snapped("vertical angles", v, *ends[0], *ends[1])
    if v[0] < limits[0] or v[-1] > limits[1]:
        wanted = f"give angles from {limits[0]:g} to {limits[1]:g}"
        raise Refused(39, "vertical angles", "leave the range of their type", wanted)
    if v[0] not in ends[0] or v[-1] not in ends[1]:
        warn(39, f"the vertical angles cover only {v[0]:g} to {v[-1]:g} deg, no light is assumed outside")
    return v


@dataclass(frozen=True, eq=False)
class _Circle:
    """Planes from 0 to 360, each as the number of the listed plane that it repeats.

    `blend` tells how plane 0 comes about where it is not listed: two planes and the share of the second.
    """

    h: Array
    planes: Indices
    symmetry: str
    blend: tuple[int, int, float] | None = None

    def candela(self, listed: Array) -> Array:
        """The intensities of all planes, in one new table."""
        table = np.empty((self.planes.size, listed.shape[1]))
        np.take(listed, self.planes, axis=0, out=table, mode="clip")  # another mode would hold a second table
        if self.blend:
            first, second, share = self.blend
            table[0] = table[-1] = (1.0 - share) * listed[first] + share * listed[second]
        return table


def _circle(h: Array, candela: Array, warn: Warn) -> _Circle:
    h = _snapped("horizontal angles", h, 0.0, 90.0, 180.0, 270.0, 360.0)
    first, last, planes = h[0], h[-1], np.arange(h.size)
    if h.size == 1 and first == 0.0:
        return _Circle(np.array((0.0, 360.0)), np.array((0, 0)), ROTATIONAL)
    if (first, last) == (90.0, 270.0):
        return _sideways(h)
    if first != 0.0 or h.size == 1 or last > 360.0:
        raise _refuse_ends("begin or end at no angle of their type", _CIRCLE_ENDS)
    if last == 360.0:
        _compare_ends(candela, warn)
        return _Circle(h, np.append(planes[:-1], 0), NONE)
    if last in (90.0, 180.0):
        symmetry = QUADRANTS if last == 90.0 else HALVES
        while last < 360.0:
            h, planes = np.append(h, (2 * last - h[:-1])[::-1]), np.append(planes, planes[:-1][::-1])
            last *= 2.0
        return _Circle(h, planes, symmetry)
    if last > 180.0 and 360.0 - last <= 1.5 * np.diff(h).max() + 1e-9:
        warn(34, f"the planes end at {last:g} deg, the circle is closed with plane 0")
        return _Circle(np.append(h, 360.0), np.append(planes, 0), NONE)
    raise _refuse_ends(f"end at {last:g} deg", _CIRCLE_ENDS)


def _refuse_ends(problem: str, accepted: str) -> Refused:
    return Refused(38, "horizontal angles", problem, accepted)


def _sideways(h: Array) -> _Circle:
    """Planes 90 to 270, mirrored in the plane 90-270: a plane C outside is plane 180 - C."""
    mirror = np.round(180.0 - h, 9) % 360.0
    inner = (mirror < 90.0) | (mirror > 270.0)
    angles, planes = np.append(h, mirror[inner]), np.append(np.arange(h.size), np.flatnonzero(inner))
    order = np.argsort(angles, kind="stable")
    angles, planes = angles[order], planes[order]
    if angles[0] == 0.0:
        return _Circle(np.append(angles, 360.0), np.append(planes, planes[0]), SIDEWAYS)
    gap = 360.0 - angles[-1]  # plane 180 is not listed: the mirror pair around it gives plane 0
    blend = (int(planes[-1]), int(planes[0]), float(gap / (gap + angles[0])))
    angles, planes = np.concatenate(((0.0,), angles, (360.0,))), np.concatenate(((0,), planes, (0,)))
    return _Circle(angles, planes, SIDEWAYS, blend)


def _compare_ends(candela: Array, warn: Warn) -> None:
    if np.abs(candela[0] - candela[-1]).max() > 0.005 * max(candela.max(), -candela.min()):
        warn(35, "planes 0 and 360 differ, plane 0 is used for both")


def _plane_range(h: Array, warn: Warn) -> Array:
    h = _snapped("horizontal angles", h, -90.0, 0.0, 90.0)
    if h.size == 1 or h[0] < -90.0 or h[-1] > 90.0 or (h[0] != 0.0 and abs(h[0] + h[-1]) > MATCH_DEG):
        raise _refuse_ends("begin or end at no angle of their type", _PLANE_ENDS)
    if h[-1] != 90.0:
        warn(38, f"the horizontal angles cover only {h[0]:g} to {h[-1]:g} deg, no light is assumed outside")
    return h


def _mirrored(angles: Array) -> tuple[Array, Indices, bool]:
    """Both sides of an axis that begins at 0, each angle with the number of the listed one that it repeats."""
    listed = np.arange(angles.size)
    if angles[0] != 0.0:
        return angles, listed, False
    return np.append(-angles[:0:-1], angles), np.append(listed[:0:-1], listed), True


def symmetry_of(h: Array, candela: Array) -> str:
    """The symmetry of type C that holds exactly and leaves out most, in the words of `unfold`.

    Parameters
    ----------
    h : planes from 0 to 360 [deg].
    candela : (nH, nV) [cd].

    Example
    -------
    >>> symmetry_of(np.array([0.0, 90, 180, 270, 360]), np.array([[1.0], [2], [3], [2], [1]]))
    'mirrored in the plane 0-180'
    """
    if (candela == candela[0]).all():
        return ROTATIONAL
    planes, rows = h[:-1], candela[:-1]
    front, side = _is_mirrored(0.0, planes, rows), _is_mirrored(180.0, planes, rows)
    holds = {QUADRANTS: front and side, HALVES: front, SIDEWAYS: side, NONE: True}
    return next(one for one, true in holds.items() if true and np.isin(RANGES_DEG[one], h).all())


def _is_mirrored(about: float, planes: Array, rows: Array) -> bool:
    """Plane C equals plane about - C for every plane; mirrored angles carry the rounding of a subtraction."""
    images = np.round(about - planes, 9) % 360.0
    order = np.argsort(images)
    same = np.abs(images[order] - planes).max() < 1e-8
    return bool(same and np.array_equal(rows[order], rows))


def listed_planes(symmetry: str, h: Array, candela: Array) -> tuple[Array, Array]:
    """The planes that stand for all, and their intensities.

    Parameters
    ----------
    symmetry : as `symmetry_of` finds it.
    h : planes from 0 to 360 [deg].
    candela : (nH, nV) [cd].
    """
    first, last = RANGES_DEG[symmetry]
    within = (h >= first) & (h <= last)
    return h[within], candela[within]
