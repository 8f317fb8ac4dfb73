"""Grids of points."""

from __future__ import annotations

import math
from typing import Annotated

from scenelux.errors import InputError
from scenelux.grids import cells_of_published_rule, published_spacing_m

__all__ = ["grid_points", "grid_spacing"]


def grid_spacing(
    longer_side_m: Annotated[float, "longer side of the area, above 0"],
) -> Annotated[float, "largest spacing [m]"]:
    """Largest spacing of grid points by the rule of EN 12464, at most 10 m."""
    return published_spacing_m(longer_side_m) if longer_side_m > 0.0 else math.nan


def grid_points(
    along_m: Annotated[float, "side of the area, above 0"],
    left_m: Annotated[float, "other side of the area, above 0"],
) -> Annotated[dict[str, float], "rows", "columns"]:
    """Rows and columns of the grid that a study lays over a rectangle by the rule of EN 12464."""
    try:
        rows, columns = cells_of_published_rule(along_m, left_m)
    except InputError:  # no rectangle, or one too long for any grid
        return {"rows": math.nan, "columns": math.nan}
    return {"rows": float(rows), "columns": float(columns)}
