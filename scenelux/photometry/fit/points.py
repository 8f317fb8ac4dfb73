"""Digitised points from a table of test points, in the angles of the claims."""

from __future__ import annotations

import numpy as np

from scenelux.errors import UsageError
from scenelux.photometry.directions import angles, direction
from scenelux.photometry.file import PhotometricFile
from scenelux.photometry.hv.notation import point_name
from scenelux.photometry.orientation import default_orientation

__all__ = ["names_of_table", "points_of_table"]


def names_of_table(table: PhotometricFile) -> tuple[str, ...]:
    """The names of the points of an H-V table, in the angles of the table.

    Parameters
    ----------
    table : as `read_hv_table` reads it.

    Example
    -------
    >>> from scenelux.photometry.hv.read import read_hv_table
    >>> lines = ["# basis: measured", "point,cd", "5L-5U,10", "5U-5R,30", "5D-V,20"]
    >>> names_of_table(read_hv_table(chr(10).join(lines).encode()))
    ('5U-5L', '5U-5R', '5D-V')
    """
    return tuple(point_name(one.h_deg, one.v_deg) for one in table.points)


def points_of_table(table: PhotometricFile) -> tuple[tuple[float, float, float], ...]:
    """The points of an H-V table as claims: H and V of type B whatever the type of the table.

    Parameters
    ----------
    table : as `read_hv_table` reads it; required minimum values are refused, since they say nothing of a lamp.

    Example
    -------
    >>> from scenelux.photometry.hv.read import read_hv_table
    >>> lines = ["# basis: measured", "point,cd", "5U-5L,10", "5U-5R,30", "5D-5L,20", "5D-5R,40"]
    >>> [round(one, 4) for one in points_of_table(read_hv_table(chr(10).join(lines).encode()))[0]]
    [-4.9809, 5.019, 10.0]
    """
    if table.basis != "measured":
        accepted = 'begin the table with "# basis: measured" when the values are those of the lamp'
        raise UsageError("holds the least that a rule asks for, not what a lamp sends", accepted=accepted)
    kind = table.distribution.photometric_type
    listed = np.array([(one.h_deg, one.v_deg) for one in table.points], np.float64).reshape(-1, 2)
    lamp = direction(kind, listed[:, 0], listed[:, 1]) @ np.array(default_orientation(kind).axes_in_lamp())
    across, up = angles("B", default_orientation("B").to_photometric(lamp))
    found = zip(across.tolist(), up.tolist(), table.points, strict=True)
    return tuple((round(h, 6) + 0.0, round(v, 6) + 0.0, one.candela) for h, v, one in found)
