"""The grid that the points of a TM-33 document make, whatever their order, and whether its symmetry is as stated."""

from __future__ import annotations

import re

import numpy as np
from numpy.typing import NDArray

from scenelux.photometry.directions import PhotometricType
from scenelux.photometry.faults import FaultLog
from scenelux.photometry.symmetry import MATCH_DEG, NONE, RANGES_DEG, SIDEWAYS
from scenelux.photometry.tm33.tree import Points

__all__ = ["SYMMETRIES", "check_symmetry", "grid_of"]

Array = NDArray[np.float64]
Counts = tuple[int | None, int | None, int | None]

SYMMETRIES = dict(zip(RANGES_DEG, ("Symm_Full", "Symm_Quad", "Symm_Bi_0", "Symm_Bi_90", "Symm_None"), strict=True))
"""Symmetry of type C -> its name in a document."""

_NAMED = {name.replace("_", "").lower().removeprefix("symm"): one for one, name in SYMMETRIES.items()}
_KEY = "the symmetry"


def grid_of(points: Points, stated: Counts, log: FaultLog) -> tuple[Array, Array, Array]:
    """Horizontal and vertical angles, ascending, and the (nH, nV) values.

    Parameters
    ----------
    points : in any order.
    stated : numbers of all points, of horizontal and of vertical angles as stated, None where they are not.
    log : takes the warnings and words the errors.
    """
    h, row = np.unique(np.frombuffer(points.h_deg) + 0.0, return_inverse=True)
    v, column = np.unique(np.frombuffer(points.v_deg) + 0.0, return_inverse=True)
    _check_counts(points, (len(points.value), h.size, v.size), stated, log)
    place = row.astype(np.int64) * v.size + column
    del row, column
    order = np.argsort(place, kind="stable")
    _check_complete(points, place[order], order, h, v, log)
    return h, v, np.frombuffer(points.value)[order].reshape(h.size, v.size)


def _check_complete(
    points: Points, sorted_place: NDArray[np.int64], order: NDArray[np.intp], h: Array, v: Array, log: FaultLog
) -> None:
    """Refuses a point that is there twice, and a place without a point."""
    twice = np.flatnonzero(np.diff(sorted_place) == 0)
    if twice.size:
        at = int(order[twice[0] + 1])
        raise log.error(45, "is there twice", points.offset[at], key="the point",
                        value=f"h {points.h_deg[at]:g}, v {points.v_deg[at]:g}",
                        accepted="give each point once")  # fmt: skip
    if sorted_place.size < h.size * v.size:
        holes = np.flatnonzero(sorted_place != np.arange(sorted_place.size))
        missing = int(holes[0]) if holes.size else sorted_place.size
        raise log.error(24, "is missing", points.offset[0], key="the point",
                        value=f"h {h[missing // v.size]:g}, v {v[missing % v.size]:g}",
                        accepted=f"{h.size} horizontal and {v.size} vertical angles need {h.size * v.size} points, "
                        f"found {sorted_place.size}")  # fmt: skip


def _check_counts(points: Points, found: tuple[int, int, int], stated: Counts, log: FaultLog) -> None:
    names = ("points", "horizontal angles", "vertical angles")
    for name, count, wanted in zip(names, found, stated, strict=True):
        if wanted is not None and wanted != count:
            problem = f"{'are too few' if count < wanted else 'are left over'}: {wanted} stated, {count} found"
            raise log.error(24 if count < wanted else 25, problem, points.offset[0], key=name,
                            accepted="check NumberMeasured, NumberHorz and NumberVert")  # fmt: skip
    if found[2] < 2:
        raise log.error(57, "are fewer than 2", points.offset[0], key="vertical angles",
                        accepted="give 2 or more")  # fmt: skip


def check_symmetry(text: str, kind: PhotometricType, h: Array, v: Array, offset: int, log: FaultLog) -> None:
    """Compares the stated symmetry with the range of the angles, which decides.

    Parameters
    ----------
    text : as in the document, empty where it is missing.
    kind : photometric type.
    h, v : the angles listed [deg].
    offset : of the statement or of the data in the document.
    log : takes the warnings and words the errors.
    """
    name = re.sub(r"[\s_-]", "", text).lower().removeprefix("symm")
    symmetry = _NAMED.get(name)
    if symmetry is None:
        said = "is not stated" if not name else "is arbitrary" if name == "arbitrary" else f'"{text}" is unknown'
        log.warn(135, f"the symmetry {said}, the horizontal angles decide", offset)
    elif kind == "C":
        _check_circle(text, symmetry, h, offset, log)
    elif symmetry != NONE:
        log.warn(135, "what a stated symmetry means for types A and B is not confirmed, the angles decide", offset)
    elif h[0] >= -MATCH_DEG or v[0] >= -MATCH_DEG:
        raise log.error(135, "needs angles on both sides of 0", offset, key=_KEY, value=text,
                        accepted="give all planes and angles, types A and B")  # fmt: skip


def _check_circle(text: str, symmetry: str, h: Array, offset: int, log: FaultLog) -> None:
    first, last = RANGES_DEG[symmetry]
    if symmetry == SIDEWAYS and np.diff(h).max(initial=0.0) >= 180.0 - MATCH_DEG:
        raise log.error(135, "has its planes on the side of 0", offset, key=_KEY, value=text,
                        accepted="list the planes from 90 to 270")  # fmt: skip
    begins, ends = float(h[0] - first), float(h[-1] - last)
    if symmetry == NONE and begins <= MATCH_DEG and h[-1] > 180.0 + MATCH_DEG:
        return  # an open circle is closed, or refused, by its angles
    needed = f"planes from {first:g} to {last:g} deg" if last else "plane 0"
    found = f"{h[0]:g} to {h[-1]:g} deg" if h.size > 1 else f"{h[0]:g} deg"
    if begins > MATCH_DEG or ends < -MATCH_DEG:
        raise log.error(135, f"needs {needed}, found {found}", offset, key=_KEY, value=text,
                        accepted="give all planes, or name the symmetry that fits")  # fmt: skip
    if begins < -MATCH_DEG or ends > MATCH_DEG:
        log.warn(135, f"the symmetry {text} needs {needed} only, all from {found} are read", offset)
