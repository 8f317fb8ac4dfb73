"""Switching as tables for a spreadsheet: levels over time, light and reading over time, the state matrix."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from scenelux.reports.tables import csv_bytes
from scenelux.study.results.dusk import DuskResult
from scenelux.study.results.matrix import MatrixRow

__all__ = ["dusk_table_files"]

Row = list[str | float]


def dusk_table_files(result: DuskResult) -> Iterator[tuple[str, bytes]]:
    """Every table with its name.

    Parameters
    ----------
    result : of the switching.
    """
    circuits = list(result.circuits)
    if result.timelines:
        header = ["evening", "time_s", "ambient_lx", "reads", "levels_of", *(f"{name} [level]" for name in circuits)]
        yield "timeline.csv", csv_bytes(header, _levels(result, circuits))
        yield "light.csv", csv_bytes(["evening", "time_s", "ambient_lx", "reading_lx"], _light(result))
    first = result.matrix[0]
    header = ["name", "state", "light", "made_by_the_rules", *(f"{name} [level]" for name in circuits)]
    for area in first.areas:
        header += [f"{area.area_id} least [lx]", f"{area.area_id} average [lx]"]
    header += [f"{eye.eye_id} worst veil [cd/m2]" for eye in first.eyes]
    header += ["current_a", "left_at_idle_a", "left_driving_a", "battery_h", "battery_at_idle_h"]
    yield "matrix.csv", csv_bytes(header, (_row(row, circuits) for row in result.matrix))


def _levels(result: DuskResult, circuits: list[str]) -> Iterator[Row]:
    for one in result.timelines:
        for change in one.changes:
            levels = [change.levels[name] for name in circuits]
            yield [one.name, f"{change.time_s:.3f}", change.ambient_lx, change.reads, change.name, *levels]


def _light(result: DuskResult) -> Iterator[Row]:
    for one in result.timelines:
        ambient = np.interp(one.reading_times_s, one.times_s, one.ambient_lx)
        for time, outside, reading in zip(one.reading_times_s, ambient, one.reading_lx, strict=True):
            yield [one.name, f"{time:.3f}", float(outside), float(reading)]


def _row(row: MatrixRow, circuits: list[str]) -> Row:
    found: Row = [row.name, row.state, row.light, "yes" if row.reached else "no"]
    found += [row.levels[name] for name in circuits]
    for area in row.areas:
        found += [area.least_lx, area.average_lx]
    found += [eye.veil_cd_m2 for eye in row.eyes]
    if row.load is None:
        return [*found, "", "", "", "", ""]
    load = row.load
    return [
        *found, load.current_a, load.idle_spare_a, load.driving_spare_a, load.battery_h, load.idle_battery_h,
    ]  # fmt: skip
