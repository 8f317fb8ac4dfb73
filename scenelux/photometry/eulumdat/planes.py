"""Which planes an EULUMDAT file stores for each of its symmetries, and all planes that they stand for."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from scenelux.photometry.symmetry import LEAST_STEP_DEG, MATCH_DEG, RANGES_DEG, Refused, symmetry_of, unfold

__all__ = ["reduced_planes", "stored_planes", "unfold_planes"]

Array = NDArray[np.float64]
Warn = Callable[[int, str], None]

_DIVISORS = {0: 1, 1: 1, 2: 2, 3: 4, 4: 4}
_NUMBERS = dict(zip(RANGES_DEG, (1, 4, 2, 3, 0), strict=True))
_ENDS_DEG = {2: (0.0, 180.0), 3: (270.0, 90.0), 4: (0.0, 90.0)}


def stored_planes(symmetry: int, count: int) -> NDArray[np.int64]:
    """Indices into the list of C-angles of the planes whose intensities are stored, in their order.

    Parameters
    ----------
    symmetry : 0 none, 1 rotational, 2 mirrored in C0-C180, 3 mirrored in C90-C270, 4 both.
    count : number of C-planes all around.

    Source
    ------
    The format as described by its implementers.

    Example
    -------
    >>> stored_planes(3, 8).tolist()
    [6, 7, 0, 1, 2]
    """
    divisor = _DIVISORS[symmetry]
    if count % divisor or (symmetry == 0 and count < 2):
        wanted = "2 planes or more" if symmetry == 0 else f"a number that {divisor} divides"
        raise Refused(112, "planes", f"is {count}, which does not fit symmetry {symmetry}", f"give {wanted}")
    if symmetry == 3:
        return np.arange(3 * count // 4, 3 * count // 4 + count // 2 + 1) % count
    return np.arange({0: count, 1: 1, 2: count // 2 + 1, 4: count // 4 + 1}[symmetry])


def unfold_planes(
    symmetry: int, listed: Array, gamma: Array, candela: Array, warn: Warn
) -> tuple[Array, Array, Array, str]:
    """C-angles from 0 to 360, gamma angles, intensities, and the symmetry in words.

    Parameters
    ----------
    symmetry : 0 to 4.
    listed : C-angles as listed, all around; with symmetry 1 they do not matter [deg].
    gamma : as listed [deg].
    candela : (stored planes, gamma) [cd].
    warn : takes number and sentence of a warning.
    """
    _check_ascending("gamma angles", gamma)
    if symmetry == 1:
        return unfold("C", np.zeros(1), gamma, candela, warn)
    _check_ascending("C-angles", listed)
    planes = listed[stored_planes(symmetry, listed.size)]
    if symmetry == 0:
        planes, candela = _closed(planes, candela)
        return unfold("C", planes, gamma, candela, warn)
    _check_ends(symmetry, planes)
    if symmetry == 3:  # the mirror images of C270 .. C0 .. C90 run from 90 to 270
        planes, candela = ((180.0 - planes) % 360.0)[::-1], candela[::-1]
        _check_ascending("C-angles", planes)
    return unfold("C", planes, gamma, candela, warn)


def _check_ascending(key: str, values: Array) -> None:
    """Refuses a list that goes back or stands still."""
    wrong = np.flatnonzero(np.diff(values) <= LEAST_STEP_DEG)
    if wrong.size:
        at = int(wrong[0]) + 1
        raise Refused(45, key, f"are not ascending at number {at + 1}, {values[at]:g} deg", "give each angle once")


def _closed(planes: Array, candela: Array) -> tuple[Array, Array]:
    """The planes with plane 0 again at 360, when they reach around the circle."""
    if abs(planes[0]) > MATCH_DEG:
        raise _refuse_ends(0, planes, "0 all around the circle")
    beside = planes[-1] - planes[-2] <= 2.0 * MATCH_DEG and planes[-1] < 360.0
    if planes[-1] >= 360.0 - MATCH_DEG and not beside:
        return planes, candela  # plane 360 is listed itself
    if 360.0 - planes[-1] > 1.5 * np.diff(planes).max() + 1e-9:
        raise _refuse_ends(0, planes, "0 all around the circle")
    return np.append(planes, 360.0), np.vstack((candela, candela[:1]))


def _check_ends(symmetry: int, planes: Array) -> None:
    wanted = _ENDS_DEG[symmetry]
    if any(abs(planes[at] - end) > MATCH_DEG for at, end in zip((0, -1), wanted, strict=True)):
        raise _refuse_ends(symmetry, planes, f"{wanted[0]:g} to {wanted[1]:g} deg")


def _refuse_ends(symmetry: int, planes: Array, wanted: str) -> Refused:
    problem = f"give stored planes from {planes[0]:g} to {planes[-1]:g} deg"
    return Refused(112, "C-angles", problem, f"with symmetry {symmetry} they go from {wanted}")


def reduced_planes(h: Array, candela: Array) -> tuple[int, Array, Array]:
    """The symmetry that holds exactly, the C-angles all around, and the intensities of the planes to store.

    Parameters
    ----------
    h : from 0 to 360 [deg].
    candela : (h, gamma) [cd].
    """
    planes, rows = h[:-1], candela[:-1]
    symmetry = _NUMBERS[symmetry_of(h, candela)]
    if symmetry == 1:
        return 1, h[:1], candela[:1]
    if symmetry and _fits(symmetry, planes):
        return symmetry, planes, rows[stored_planes(symmetry, planes.size)]
    gap = 360.0 - planes[-1]
    if gap <= MATCH_DEG:  # a reader would take the last plane for plane 360
        return 0, h, candela
    if gap > 1.5 * np.diff(planes).max():  # a reader could not tell that the planes reach around the circle
        planes = np.append(planes, 360.0 - 0.5 * gap)
        rows = np.vstack((rows, 0.5 * (rows[-1] + rows[0])))
    return 0, planes, rows


def _fits(symmetry: int, planes: Array) -> bool:
    """The planes can be stored in the way of a symmetry."""
    if planes.size % _DIVISORS[symmetry]:
        return False
    stored = planes[stored_planes(symmetry, planes.size)]
    return bool(np.abs(stored[[0, -1]] - _ENDS_DEG[symmetry]).max() < 1e-8)
