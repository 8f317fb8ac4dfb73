"""Light and glare of rows of circuit levels, by the same road as a study."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import ceil, inf, nan

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Contributions
from scenelux.placement import PlacedScene, area_points, eye_path
from scenelux.placement.signals import colour_word, far_away, lamps_towards
from scenelux.scene.switching import StatedProperty, WhiteLight
from scenelux.study.areas import light_area
from scenelux.study.eyes import look
from scenelux.study.results import AreaResult, EyeEntry, EyeResult
from scenelux.study.results.matrix import MatrixArea, MatrixEye

__all__ = ["RowLight", "area_of", "areas_of", "eyes_of", "quantity_of", "rows_of", "white_candela", "worst_of"]

Array = NDArray[np.float64]
Quantity = Callable[[Array], Array]
Levels = Mapping[tuple[str, str], Array]

AZIMUTH_STEP_DEG = 2.5
ELEVATION_STEP_DEG = 1.0
"""Between directions in which white light is looked for."""

ROWS_AT_ONCE = 200


@dataclass(frozen=True, eq=False)
class RowLight:
    """What rows of levels give: the scene on its site, the circuits of the columns, and what lamps gave already."""

    placed: PlacedScene
    circuits: tuple[str, ...]
    store: Contributions

    def by_lamp(self, rows: Array) -> Array:
        """Levels of the lamps, (n, lamps), of rows (n, circuits)."""
        columns = [self.circuits.index(lamp.circuit) for lamp in self.placed.placed_lamps]
        return np.asarray(np.asarray(rows, np.float64)[:, columns])


def rows_of(light: RowLight, rows: Array) -> Levels:
    """Rows of levels as a study takes them: named by their number, at the first light level, which changes no lux.

    Parameters
    ----------
    light : whose circuits the columns are.
    rows : (n, circuits) 0 to 1.
    """
    any_light = next(iter(light.placed.scene.light))
    return {(str(number), any_light): levels for number, levels in enumerate(light.by_lamp(rows))}


def areas_of(light: RowLight, levels: Levels, only: str | None = None) -> tuple[AreaResult, ...]:
    """Areas of the scene at levels of the lamps.

    Parameters
    ----------
    light, levels : the scene, and (state, light) -> (lamps,).
    only : one area by its id.
    """
    placed = light.placed
    wanted = [area for area in placed.scene.areas if only in (None, area.id)]
    grids = [area_points(placed.vehicles, placed.ground, area) for area in wanted]
    return tuple(light_area(placed, grid, levels, {}, light.store) for grid in grids)


def eyes_of(light: RowLight, levels: Levels, only: str | None = None) -> tuple[EyeResult, ...]:
    """Eyes of the scene at levels of the lamps.

    Parameters
    ----------
    light, levels, only : as in `areas_of`.
    """
    placed = light.placed
    wanted = [eye for eye in placed.scene.eyes if only in (None, eye.id)]
    paths = [eye_path(placed.scene, placed.vehicles, placed.ground, eye) for eye in wanted]
    return tuple(look(placed, path, levels, light.store) for path in paths)


def worst_of(eye: EyeResult, state: str, light: str, gazes: tuple[str, ...] | None = None) -> MatrixEye:
    """The worst veil of an eye over its stations and gazes; nan where no station is valid.

    Parameters
    ----------
    eye : as a study has it.
    state, light : which levels.
    gazes : those that count; all when not given.
    """
    here = [one for one in eye.entries if (one.state, one.light) == (state, light)]
    here = [one for one in here if gazes is None or one.gaze in gazes]
    worst = max(here, key=lambda one: _veil(eye, one), default=None)
    if worst is None or worst.worst_station is None:
        return MatrixEye(eye.eye_id, eye.name, "", nan)
    return MatrixEye(eye.eye_id, eye.name, worst.gaze, _veil(eye, worst))


def _veil(eye: EyeResult, entry: EyeEntry) -> float:
    at = entry.worst_station
    return -inf if at is None else float(entry.veil_cd_m2[eye.headline_form][at])


def area_of(area: AreaResult, state: str, light: str) -> MatrixArea:
    """Least and average maintained light of an area at one of its levels.

    Parameters
    ----------
    area : as a study has it.
    state, light : which levels.
    """
    entry = next(one for one in area.entries if (one.state, one.light) == (state, light))
    return MatrixArea(area.area_id, area.name, entry.maintained.minimum, entry.maintained.average)


def quantity_of(light: RowLight, stated: StatedProperty) -> Quantity:
    """The function of rows of levels that a property limits.

    Parameters
    ----------
    light : the scene.
    stated : a property of an area, an eye or white light.
    """
    if stated.white is not None:
        return _white(light, stated.white)
    if stated.area is not None:
        return _on_area(light, stated.area, stated.statistic)
    return _at_eye(light, str(stated.eye), stated.gaze)


def _on_area(light: RowLight, name: str, statistic: str) -> Quantity:
    def values(rows: Array) -> Array:
        levels = rows_of(light, rows)
        (area,) = areas_of(light, levels, name)
        found = [area_of(area, *key) for key in levels]
        return np.array([one.least_lx if statistic == "minimum" else one.average_lx for one in found])

    return _by_parts(values)


def _at_eye(light: RowLight, name: str, gazes: tuple[str, ...] | None) -> Quantity:
    def values(rows: Array) -> Array:
        levels = rows_of(light, rows)
        (eye,) = eyes_of(light, levels, name)
        return np.array([worst_of(eye, *key, gazes).veil_cd_m2 for key in levels])

    return _by_parts(values)


def _by_parts(values: Quantity) -> Quantity:
    """The same, some rows at a time: results hold every point of every row."""

    def of_parts(rows: Array) -> Array:
        parts = [values(rows[start : start + ROWS_AT_ONCE]) for start in range(0, len(rows), ROWS_AT_ONCE)]
        return np.concatenate([np.zeros(0), *parts])

    return of_parts


def _white(light: RowLight, asked: WhiteLight) -> Quantity:
    candela = white_candela(light, asked)

    def values(rows: Array) -> Array:
        return np.asarray((light.by_lamp(rows) @ candela).max(axis=1))

    return values


def white_candela(light: RowLight, asked: WhiteLight) -> Array:
    """What white lamps, and those without a stated colour, send in directions at full output, (lamps, directions) [cd].

    Parameters
    ----------
    light : the scene; directions are about its first vehicle.
    asked : the directions.
    """
    placed = light.placed
    vehicle = placed.vehicles[placed.scene.vehicles[0].id]
    first, last = asked.heading_deg
    span = (last - first) % 360.0 or 360.0 * (last != first)
    low, high = asked.elevation_deg
    around = first + np.linspace(0.0, span, 1 + ceil(span / AZIMUTH_STEP_DEG))
    up = np.linspace(low, high, 1 + ceil((high - low) / ELEVATION_STEP_DEG))
    seen = lamps_towards(placed, far_away(vehicle, around, up)).candela.reshape(len(placed.placed_lamps), -1)
    words = [colour_word(placed, lamp.luminaire.name) for lamp in placed.placed_lamps]
    white = np.array([word in ("", "white") for word in words])
    return np.where(white[:, None], seen, 0.0)
