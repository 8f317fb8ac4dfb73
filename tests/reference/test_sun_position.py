"""The sun's place against the solar position algorithm of the library pvlib, and the moon's phase against eclipses."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from pvlib import spa

from scenelux.vision import moon_altitude, moon_phase, refraction, sun_position

SECONDS = 86_400
FIRST = np.datetime64("1950-01-01", "s")


def theirs(
    utc: NDArray[np.datetime64], latitude_deg: float, longitude_deg: float, pressure_hpa: float = 1013.25
) -> list[NDArray[np.float64]]:
    """Apparent zenith, zenith, apparent altitude, altitude, azimuth, equation of time."""
    unix = utc.astype("datetime64[s]").astype(np.float64)
    ahead = spa.calculate_deltat(1970 + unix / SECONDS / 365.2425, np.full(len(unix), 6.0))
    return list(spa.solar_position_numpy(unix, latitude_deg, longitude_deg, 0.0, pressure_hpa, 12.0, ahead, 0.5667, 1))


def instants(count: int, seed: int) -> NDArray[np.datetime64]:
    """At random over the whole range, and its two ends."""
    end = (np.datetime64("2051-01-01", "s") - FIRST).astype(np.int64)
    seconds = np.random.default_rng(seed).integers(0, end, count)
    return FIRST + np.concatenate([seconds, [0, end - 1]]).astype("timedelta64[s]")


def unit(altitude_deg: NDArray[np.float64], azimuth_deg: NDArray[np.float64]) -> NDArray[np.float64]:
    up, turn = np.radians(altitude_deg), np.radians(azimuth_deg)
    return np.array([np.cos(up) * np.cos(turn), np.cos(up) * np.sin(turn), np.sin(up)])


PLACES = [(0.0, 0.0), (51.4779, 0.0), (40.0, -100.0), (-33.9, 151.2), (69.6, 18.9), (-90.0, 0.0), (12.3, 179.9)]


@pytest.mark.parametrize(("latitude", "longitude"), PLACES)
def test_direction_within_five_thousandths_of_a_degree(latitude: float, longitude: float) -> None:
    utc = instants(4000, seed=int(latitude) + 90)
    ours, (_, _, _, altitude, azimuth, _) = sun_position(utc, latitude, longitude), theirs(utc, latitude, longitude)
    apart = np.degrees(np.linalg.norm(unit(ours.altitude_deg, ours.azimuth_deg) - unit(altitude, azimuth), axis=0))
    assert apart.max() < 0.005
    assert np.abs(ours.altitude_deg - altitude).max() < 0.005


def test_refraction_is_that_of_the_library() -> None:
    """Where it refracts: the whole disc not below the horizon."""
    utc = instants(4000, seed=1)
    _, _, apparent, altitude, _, _ = theirs(utc, 45.0, 7.0, pressure_hpa=820.0)
    up = altitude > -0.8
    assert (altitude + refraction(altitude, 820.0, 12.0))[up] == pytest.approx(apparent[up], abs=1e-6)
    assert np.isnan(refraction([-1.01, 90.1, np.nan])).all() and np.isnan(refraction(10.0, -1.0)).all()
    assert np.isnan(refraction(10.0, 1010.0, -273.0))


def test_azimuth_runs_from_north_through_east() -> None:
    day = np.datetime64("2026-09-23T00:00") + np.arange(0, 24, 6).astype("timedelta64[h]")
    found = sun_position(day, 50.0, 0.0)
    assert found.azimuth_deg == pytest.approx([2.2, 92.0, 182.5, 272.0], abs=1.5)
    assert found.altitude_deg == pytest.approx([-40.0, 1.0, 40.0, -1.0], abs=1.5)
    assert sun_position(day[2], -50.0, 0.0).azimuth_deg == pytest.approx(357.5, abs=1.5)


def test_outside_its_range_it_is_nan() -> None:
    noon = np.datetime64("2026-09-23T12:00")
    late = np.array(["1949-12-31T23:59:59", "2051-01-01T00:00:00", "NaT"], "datetime64[s]")
    assert np.isnan(sun_position(late, 50.0, 0.0).altitude_deg).all() and np.isnan(moon_phase(late)).all()
    for latitude, longitude in ((90.1, 0.0), (np.nan, 0.0), (50.0, 361.0), (50.0, np.inf)):
        found = sun_position(noon, latitude, longitude)
        assert np.isnan(found.altitude_deg) and np.isnan(found.azimuth_deg)


@pytest.mark.parametrize("utc", ["1999-08-11T11:08", "2017-08-21T18:30", "2024-04-08T18:21", "2026-08-12T17:37"])
def test_the_moon_is_new_when_it_hides_the_sun(utc: str) -> None:
    """Conjunctions at four eclipses of the sun; the moon moves by 1 deg in 2 h."""
    assert abs(moon_phase(np.datetime64(utc))) == pytest.approx(180.0, abs=0.6)


@pytest.mark.parametrize("utc", ["2000-01-21T04:41", "2018-07-27T20:21", "2025-03-14T06:55", "2026-03-03T11:38"])
def test_the_moon_is_full_when_the_earth_hides_it(utc: str) -> None:
    assert moon_phase(np.datetime64(utc)) == pytest.approx(0.0, abs=0.6)


def test_the_phase_grows_from_full_to_full() -> None:
    days = np.datetime64("2026-03-03T12:00") + np.arange(0, 29).astype("timedelta64[D]")
    phase = moon_phase(days)
    assert (np.diff(phase)[np.diff(phase) > -180] > 9.0).all() and phase[7] == pytest.approx(85.0, abs=8.0)


def test_a_new_moon_stands_by_the_sun_and_a_full_one_opposite() -> None:
    utc = instants(200, seed=5)
    sun = sun_position(utc, 47.0, 8.0).altitude_deg
    assert moon_altitude(utc, 180.0, 47.0, 8.0) == pytest.approx(sun, abs=0.003)  # the sun's parallax
    assert moon_altitude(utc, 0.0, 47.0, 8.0) == pytest.approx(-sun, abs=0.003)
    assert np.isnan(moon_altitude(utc, 181.0, 47.0, 8.0)).all()
