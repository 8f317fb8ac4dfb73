"""The ambient-light sensor at its place: what it sees of the sky, and what own lamps and passing ones add."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Contributions, Lamps, covered, receivers
from scenelux.errors import DocumentError
from scenelux.placement import PlacedScene, approach_path
from scenelux.scene.switching_read import SwitchingDocument
from scenelux.scene.switching_supply import AmbientSensor

__all__ = ["SensorPlace", "own_light_lx", "passing_lx", "sensor_place", "sensor_words", "sky_share"]

Array = NDArray[np.float64]
Facing = Literal["up", "forward", "left", "rear", "right"]

_FACING = {
    "up": (0.0, 0.0, 1.0),
    "forward": (1.0, 0.0, 0.0),
    "left": (0.0, 1.0, 0.0),
    "rear": (-1.0, 0.0, 0.0),
    "right": (0.0, -1.0, 0.0),
}


@dataclass(frozen=True, eq=False)
class SensorPlace:
    """Where the sensor is and looks, site frame, and half of its field of view [m, deg]."""

    position_m: Array
    normal: Array
    half_view_deg: float


def sky_share(facing: Facing, field_of_view_deg: float) -> float:
    """Reading as a share of the light on level ground, under an even sky over dark ground.

    Parameters
    ----------
    facing : of the sensor, on a vehicle that stands level.
    field_of_view_deg : full angle, up to 180; within it the sensor goes by the cosine.

    Source
    ------
    Cosine law: sin^2 of half of the field of view, and half of that facing sideways.

    Example
    -------
    >>> round(sky_share("up", 180.0), 6), round(sky_share("up", 60.0), 4), round(sky_share("rear", 180.0), 4)
    (1.0, 0.25, 0.5)
    """
    whole = sin(radians(0.5 * field_of_view_deg)) ** 2
    return whole if facing == "up" else 0.5 * whole  # the lower half of what a sideways one sees is ground


def sensor_place(placed: PlacedScene, document: SwitchingDocument) -> SensorPlace:
    """The sensor on its vehicle.

    Parameters
    ----------
    placed : the scene on its site.
    document : with a sensor.
    """
    sensor = document.text.sensor
    assert sensor is not None
    vehicle = placed.vehicles[sensor.of or placed.scene.vehicles[0].id]
    position = np.array(vehicle.to_site(sensor.position_m))
    if covered(placed.blockers, position[None], position[None, 2], headroom_m=0.0)[0]:
        accepted = "give a place outside, such as a finger above a roof"
        raise document.locate(DocumentError("is inside a body", key="sensor.position", accepted=accepted))
    normal = np.array(_FACING[sensor.facing]) @ np.array(vehicle.axes)
    return SensorPlace(position, normal, 0.5 * sensor.field_of_view_deg)


def own_light_lx(placed: PlacedScene, place: SensorPlace, circuits: tuple[str, ...], store: Contributions) -> Array:
    """Reading that each circuit adds at full output, clean and steady, (circuits,) [lx].

    Parameters
    ----------
    placed, place : the scene, and where the sensor is.
    circuits : names.
    store : what single lamps give, where it is known already.
    """
    lux = _seen(placed, place, placed.lamps, store)
    mine = [lamp.circuit for lamp in placed.placed_lamps]
    return np.array([lux[[at for at, name in enumerate(mine) if name == circuit]].sum() for circuit in circuits])


def passing_lx(placed: PlacedScene, place: SensorPlace, approach_id: str, store: Contributions) -> tuple[Array, Array]:
    """What the headlamps of a passing car add to the reading: times since its first station, and lux.

    Parameters
    ----------
    placed, place, store : as in `own_light_lx`.
    approach_id : an approach of the scene; after its last station the light stays until the car is abreast.
    """
    approach = next(one for one in placed.scene.approaches if one.id == approach_id)
    path = approach_path(placed, approach)
    times = [*path.times_s.tolist(), float(path.times_s[-1] + path.distances_m[-1] / path.speed_m_s)]
    if path.headlamps is None:
        return np.array(times), np.zeros(len(times))
    stations = range(len(path.times_s))
    lux = [float(_seen(placed, place, path.headlamps.at(at), store).sum()) for at in stations]
    return np.array(times), np.array([*lux, lux[-1]])


def _seen(placed: PlacedScene, place: SensorPlace, lamps: Lamps, store: Contributions) -> Array:
    lux = store.by_lamp(lamps, placed.blockers, receivers(place.position_m[None], place.normal))[:, 0]
    way = lamps.position_m - place.position_m
    towards = (way @ place.normal) / np.maximum(np.linalg.norm(way, axis=1), 1e-9)
    return np.where(towards >= cos(radians(place.half_view_deg)) - 1e-9, np.nan_to_num(lux), 0.0)


def sensor_words(sensor: AmbientSensor) -> str:
    """Thresholds and times in words.

    Parameters
    ----------
    sensor : of the document.
    """
    view = f"{sensor.field_of_view_deg:g} deg" if sensor.field_of_view_deg < 180.0 else "half space"
    averaged = "" if sensor.averaging == "none" else f", {sensor.averaging} over {sensor.averaging_time_s:g} s"
    return (
        f"Sensor facing {sensor.facing}, field of view {view}: night below {sensor.dark_below_lx:g} lx for "
        f"{sensor.dark_delay_s:g} s, day above {sensor.bright_above_lx:g} lx for {sensor.bright_delay_s:g} s{averaged}"
    )
