"""Reads H-V tables: test points in a list or a grid, to a distribution of type A or B."""

from __future__ import annotations

from collections.abc import Iterator
from math import prod

import numpy as np
from numpy.typing import NDArray

from scenelux.errors import PhotometricError
from scenelux.photometry.distribution import IntensityDistribution, Opening
from scenelux.photometry.faults import FaultLog
from scenelux.photometry.file import Basis, PhotometricFile, TestPoint
from scenelux.photometry.hv.cells import Row, Rows
from scenelux.photometry.hv.columns import Unit
from scenelux.photometry.hv.grids import is_grid, read_grid
from scenelux.photometry.hv.lists import is_list, read_list
from scenelux.photometry.hv.metadata import STEERING, Metadata, read_metadata
from scenelux.photometry.hv.points import filled, on_one_line
from scenelux.photometry.hv.table import MOST_POINTS, Table
from scenelux.photometry.intensities import check_intensities, clean_intensities
from scenelux.photometry.text import plain_bytes

__all__ = ["REQUIRED_MINIMUM", "looks_like_hv_table", "read_hv_table"]

REQUIRED_MINIMUM = (
    "the values are the least that is required: a lamp may give more, and glare is understated; the rule asks for them "
    "at the listed points only"
)
"""The warning that goes with such values in every format."""

Array = NDArray[np.float64]

_HEAD = 65_536
_ACCEPTED = "give a table with a point such as 10U-5L and its candela on each line"


def looks_like_hv_table(text: bytes) -> bool:
    """Whether a text begins as an H-V table does.

    Parameters
    ----------
    text : of a file, as `plain_bytes` returns it; its first 64 kB count.

    Example
    -------
    >>> looks_like_hv_table(b"point,cd"), looks_like_hv_table(b"IESNA91")
    (True, False)
    """
    rows = Rows(text[:_HEAD], FaultLog(""))
    try:
        first = next(iter(rows), None)
    except PhotometricError:
        return False
    said = {comment.text.partition(":")[0].strip().lower() for comment in rows.comments if ":" in comment.text}
    return bool(said & set(STEERING)) or (first is not None and (is_grid(first, rows) or is_list(first, rows)))


def read_hv_table(data: bytes, name: str = "") -> PhotometricFile:
    """Reads a table of test points: a list of points with their candela, or a grid of H and V.

    H is positive to the right and V up. The type is A (planes share the upright axis) unless the table says B. Between
    the listed points the intensity is interpolated, beside them it is 0. A table that does not say whether its values
    are measured or required counts as required minimum, of which both are true: the lamp gives at least this.

    Parameters
    ----------
    data : the bytes of the file, at most 32 MB, 500,000 lines and 100,000 listed points, or 20,000 rows, as many
        columns and 4 million nodes of a grid. A grid of more than 100,000 cells keeps its values in the distribution
        alone, not among the points.
    name : of the file, for messages.

    Example
    -------
    >>> lines = ["# basis: measured", "point,cd", "5U-5L,10", "5U-5R,30", "5D-5L,20", "5D-5R,40"]
    >>> table = read_hv_table(chr(10).join(lines).encode())
    >>> table.basis, float(table.distribution.candela_at(0, 0))
    ('measured', 25.0)
    """
    log = FaultLog(name)
    log.body = plain_bytes(data, log, _ACCEPTED)
    rows = Rows(log.body, log)
    lines = iter(rows)
    first = next(lines, None)
    if first is None:
        raise log.error(59, "holds no rows of a table", accepted=_ACCEPTED)
    table, said = _read(first, lines, rows, log)
    return _assemble(table, said, log)


def _read(first: Row, lines: Iterator[Row], rows: Rows, log: FaultLog) -> tuple[Table, Metadata]:
    if is_grid(first, rows):
        table = read_grid(first, lines, rows, log)
        return table, read_metadata(rows.comments, rows, log)
    kept: list[Row] = []
    for row in lines:
        if len(kept) >= MOST_POINTS:
            raise log.error(57, f"are more than {MOST_POINTS}", rows.offset(row.line), key="points",
                            accepted="give a grid, its first row H and its first column V")  # fmt: skip
        kept.append(row)
    said = read_metadata(rows.comments, rows, log)
    return read_list(first, kept, said.basis, rows, log), said


def _assemble(table: Table, said: Metadata, log: FaultLog) -> PhotometricFile:
    basis = _basis(table, said, log)
    factors = _factors(table, said, log)
    candela = _cleaned(table, prod(value for _, value in factors), log)
    _check_spread(table, log)
    points = _points(table, candela)
    candela = filled(table.h, table.v, candela, log)
    _warn_of_edges(table, candela, log)
    distribution = IntensityDistribution(said.kind, table.h, table.v, candela)
    check_intensities(distribution, None, said.keywords, log)
    return PhotometricFile(
        format="H-V table", edition="", distribution=distribution, opening=Opening(), keywords=said.keywords,
        symmetry="none", factors=factors, lamps=1, rated_flux_lm=None, input_watts=0.0, warnings=tuple(log.warnings),
        basis=basis, points=points,
    )  # fmt: skip


def _basis(table: Table, said: Metadata, log: FaultLog) -> Basis:
    basis = said.basis or table.basis
    if basis is None:
        log.warn(150, "the table does not say whether its values are measured or required, so they count as required "
                      "minimum: glare may be understated; add a line such as # basis: measured")  # fmt: skip
        return "required minimum"
    if basis == "required minimum":
        log.warn(163, REQUIRED_MINIMUM)
    return basis


def _factors(table: Table, said: Metadata, log: FaultLog) -> tuple[tuple[str, float], ...]:
    """What turns the values into candela; header and comment lines must agree about the unit."""
    if table.unit is not None and said.unit is not None:
        same_name = table.unit.name == said.unit.name
        if not same_name or (table.unit.distance_m or said.unit.distance_m) != said.unit.distance_m:
            raise log.error(151, f"is not the {table.unit.name} of the header", key="unit", value=said.unit.name,
                            accepted="state one unit")  # fmt: skip
    unit = said.unit or table.unit or Unit("cd")
    if unit.name == "lx" and unit.distance_m is None:
        raise log.error(151, "is lux at no stated distance", key="unit", accepted='add a line "# unit: lx at 25 m"')
    return unit.factors


def _cleaned(table: Table, factor: float, log: FaultLog) -> Array:
    """Candela from 0 up, nan where nothing is listed; an error tells the place of the worst value."""
    known = ~np.isnan(table.value)
    listed = table.value[known]
    worst = int(listed.argmin() if listed.min() < 0.0 else listed.argmax())
    i, j = divmod(worst if known.all() else int(np.flatnonzero(known)[worst]), table.v.size)
    listed = clean_intensities(listed, factor, log, table.place(i, j))
    if known.all():
        return listed.reshape(known.shape)
    candela = np.full(known.shape, np.nan)
    candela[known] = listed
    return candela


def _check_spread(table: Table, log: FaultLog) -> None:
    """Refuses points on one line: how far their light reaches across it is not known."""
    if table.h.size >= 2 and table.v.size >= 2:
        if table.listed is None:
            return
        i, j = table.listed.T
        if not on_one_line(table.h[i], table.v[j]):
            return
    raise log.error(
        158, "lie on one line: how far the light reaches beside it is not known", key="points",
        accepted="list points at two or more angles each way",
    )  # fmt: skip


def _points(table: Table, candela: Array) -> tuple[TestPoint, ...]:
    if table.listed is None:
        return ()
    i, j = table.listed.T
    listed = zip(table.h[i].tolist(), table.v[j].tolist(), candela[i, j].tolist(), strict=True)
    return tuple(TestPoint(*point) for point in listed)


def _warn_of_edges(table: Table, candela: Array, log: FaultLog) -> None:
    h, v, peak = table.h, table.v, float(candela.max())
    edge = max(float(part.max()) for part in (candela[0], candela[-1], candela[:, 0], candela[:, -1]))
    sentence = f"the table covers H {h[0]:g} to {h[-1]:g} and V {v[0]:g} to {v[-1]:g} deg, no light is assumed outside"
    if edge > 0.02 * peak:
        sentence += f", though at its edge the lamp still gives {100 * edge / peak:.0f} % of its peak"
    log.warn(39, sentence)
