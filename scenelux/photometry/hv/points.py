"""Test points as a grid: every H and every V that occur, and what lies between and beside the listed points."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scenelux.photometry.faults import FaultLog
from scenelux.photometry.hv.table import counted

__all__ = ["MOST_FILLED", "MOST_TRIANGULATED", "filled", "on_one_line"]

Array = NDArray[np.float64]

MOST_TRIANGULATED = 10_000
"""Most listed points among which missing ones are interpolated."""

MOST_FILLED = 100_000
"""Most nodes of a grid that are not listed."""

_UPRIGHT = 3.0  # a degree up counts as three across: the beams are flat, so neighbours of one row come first
_MIRRORS = ((1.0, 1.0), (-1.0, 1.0), (1.0, -1.0), (-1.0, -1.0))
_SLACK = 1e-9  # places on the hull belong to it, within this [deg]
_FLAT = 1e-10  # height over length of a triangle that is a line


def on_one_line(h: Array, v: Array) -> bool:
    """Whether points span no area.

    Parameters
    ----------
    h, v : (n,) [deg].

    Example
    -------
    >>> on_one_line(np.array([0.0, 5, 10]), np.array([0.0, 5, 10]))
    True
    """
    across, up = h - h[0], v - v[0]
    far = int(np.argmax(across**2 + up**2))
    beside = np.abs(across * up[far] - up * across[far])
    return bool(beside.max() <= _FLAT * (across[far] ** 2 + up[far] ** 2))


def filled(h: Array, v: Array, candela: Array, log: FaultLog) -> Array:
    """The grid with its missing nodes: interpolated among the listed points, 0 beside them.

    A missing node takes the linear value in the triangle of listed points around it. The triangles are those of
    Delaunay with V stretched three times; where four points allow two pairs of triangles, mirrored tables may choose
    differently, so the mean over the four mirror images of the table is taken: a mirrored table gives the mirrored
    grid.

    Parameters
    ----------
    h, v : angles of the grid, ascending [deg].
    candela : (nH, nV), nan where nothing is listed [cd].
    log : takes the warnings and words the errors.
    """
    known = ~np.isnan(candela)
    if known.all():
        return candela
    many = int(np.count_nonzero(known))
    if many > MOST_TRIANGULATED or candela.size - many > MOST_FILLED:
        raise log.error(
            57, f"are {many} on a grid of {candela.size} nodes", key="points",
            accepted=f"a table that does not fill its grid has at most {MOST_TRIANGULATED} points "
            f"and {MOST_FILLED} nodes without one",
        )  # fmt: skip
    missing, listed = np.argwhere(~known), np.argwhere(known)
    places = np.stack((h, np.zeros_like(h)), axis=-1), np.stack((np.zeros_like(v), _UPRIGHT * v), axis=-1)
    at, to = (places[0][nodes[:, 0]] + places[1][nodes[:, 1]] for nodes in (listed, missing))
    values = _among(at, candela[known], to, log)
    inside = ~np.isnan(values)
    whole = candela.copy()
    whole[~known] = np.where(inside, values, 0.0)
    _say(int(inside.sum()), int((~inside).sum()), len(listed), log)
    return whole


def _among(at: Array, values: Array, to: Array, log: FaultLog) -> Array:
    """Values at places among points, the mean over the mirror images; nan outside of all triangles."""
    from scipy.spatial import Delaunay, QhullError

    total, count = np.zeros(len(to)), np.zeros(len(to))
    for mirror in _MIRRORS:
        turned = at * mirror
        order = np.lexsort((turned[:, 1], turned[:, 0]))
        try:
            triangles = order[Delaunay(turned[order]).simplices]
        except QhullError:
            raise log.error(
                158, "lie on one line", key="points", accepted="list points at two or more angles each way"
            ) from None
        found = _on_triangles(at, values, triangles, to)
        inside = ~np.isnan(found)
        total[inside] += found[inside]
        count += inside
    with np.errstate(invalid="ignore"):
        mean = total / np.where(count > 0, count, np.nan)
    return np.clip(mean, values.min(), values.max())  # rounding may lead a trifle below 0


def _on_triangles(at: Array, values: Array, triangles: NDArray[np.int64], to: Array) -> Array:
    """Linear values on triangles, one line of the grid after the other, nan outside.

    Along a line the value is linear between the sides that it crosses, so the triangle of each place need not be found.
    """
    axis = int(np.argmin([np.unique(to[:, number]).size for number in (0, 1)]))  # the fewer lines
    sides = np.concatenate((triangles[:, (0, 1)], triangles[:, (1, 2)], triangles[:, (2, 0)]))
    rises = at[sides[:, 0], axis] <= at[sides[:, 1], axis]
    sides = np.where(rises[:, None], sides, sides[:, ::-1])
    low, high = at[sides[:, 0], axis], at[sides[:, 1], axis]
    order = np.argsort(to[:, axis], kind="stable")
    found = np.full(len(to), np.nan)
    for nodes in np.split(order, np.flatnonzero(np.diff(to[order, axis])) + 1):
        line, along = to[nodes[0], axis], to[nodes, 1 - axis]
        crossed = np.flatnonzero((low <= line) & (high >= line) & (low < high))
        if crossed.size:
            share = (line - low[crossed]) / (high[crossed] - low[crossed])
            one, other = sides[crossed].T
            where = (1.0 - share) * at[one, 1 - axis] + share * at[other, 1 - axis]
            value = (1.0 - share) * values[one] + share * values[other]
            ranked = np.argsort(where, kind="stable")
            reached = (along >= where[ranked[0]] - _SLACK) & (along <= where[ranked[-1]] + _SLACK)
            found[nodes] = np.where(reached, np.interp(along, where[ranked], value[ranked]), np.nan)
    return found


def _say(inside: int, outside: int, listed: int, log: FaultLog) -> None:
    if inside:
        many = counted(inside, "node of the grid lies", "nodes of the grid lie")
        log.warn(157, f"{many} among the {listed} listed points, interpolated between them")
    if outside:
        many = counted(outside, "node of the grid lies", "nodes of the grid lie")
        log.warn(156, f"{many} beside the {listed} listed points, no light is assumed there")
