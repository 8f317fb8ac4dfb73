"""Natural light over a day, and what lamps, tunnels, clouds and lightning do to it."""

from __future__ import annotations

import numpy as np
import pytest

from scenelux.errors import InputError, LimitError, UsageError
from scenelux.vision.day import NIGHT_LX, Sky, natural_light, sun_events
from scenelux.vision.natural import moon_phase_factor, twilight_illuminance
from scenelux.vision.profile import LightProfile, added, behind, disturbance, lightning, street_lamps, under
from scenelux.vision.sun import moon_altitude, sun_position

NOON = np.datetime64("2026-03-20T12:00", "s")
DAY_S = 86_400.0


@pytest.mark.parametrize("latitude", [0.0, 50.0, 68.0])
def test_straight_lines_hold_the_formula_within_half_a_percent(latitude: float) -> None:
    """In lux as in its logarithm, but for the joins of the pieces, which step by 1.5 %."""
    day = natural_light(NOON, DAY_S, latitude, 10.0)
    time = np.arange(0.0, DAY_S, 7.0)
    altitude = sun_position(NOON + time.astype("timedelta64[s]"), latitude, 10.0).altitude_deg
    slow = np.where(altitude < -18.0, NIGHT_LX, np.fmax(twilight_illuminance(altitude), NIGHT_LX))
    in_logarithm = np.exp(np.interp(time, day.time_s, np.log(day.illuminance_lx)))
    for ours in (day.at(time), in_logarithm):
        off = np.abs(ours / slow - 1.0)
        assert np.quantile(off, 0.99) < 0.005 and off[altitude > -17.5].max() < 0.0155


def test_night_clouds_glow_and_moon() -> None:
    midnight = NOON + np.timedelta64(12, "h")
    full = natural_light(midnight, 600.0, 50.0, 0.0, Sky(moon_phase_deg=0.0)).at(0.0)
    moon = twilight_illuminance(moon_altitude(midnight, 0.0, 50.0, 0.0), "full moon")
    assert full == pytest.approx(NIGHT_LX + moon)
    half = natural_light(midnight, 600.0, 50.0, 0.0, Sky(moon_phase_deg=-20.0)).at(0.0)
    slow = twilight_illuminance(moon_altitude(midnight, -20.0, 50.0, 0.0), "full moon") * moon_phase_factor(20.0)
    assert half == pytest.approx(NIGHT_LX + slow)
    assert natural_light(midnight, 600.0, 50.0, 0.0, Sky(10.0, glow_lx=0.05)).at(0.0) == pytest.approx(
        0.05 + NIGHT_LX / 10.0
    )


def test_events_of_the_sun_are_where_its_altitude_is_that_of_the_table() -> None:
    events = sun_events(NOON, DAY_S, 50.0, 10.0)
    assert [event.says for event in events[:2]] == ["Sunset", "End of civil twilight"]
    assert [event.says for event in events[-2:]] == ["Start of civil twilight", "Sunrise"] and len(events) == 8
    for event in events:
        when = NOON + np.timedelta64(round(event.time_s), "s")
        assert sun_position(when, 50.0, 10.0).altitude_deg == pytest.approx(event.altitude_deg, abs=0.005)


def test_a_row_of_lamps_is_the_sum_of_points() -> None:
    row = street_lamps(100.0, 15.0, 20, height_m=6.5, spacing_m=32.0, offset_m=3.0, peak_lx=30.0)
    time = np.linspace(70.0, 170.0, 5001)
    x = (time - 100.0) * 15.0
    intensity = 30.0 * (6.5**2 + 9.0) ** 1.5 / 6.5
    slow = sum(intensity * 6.5 / (6.5**2 + 9.0 + (x - 32.0 * lamp) ** 2) ** 1.5 for lamp in range(20))
    assert np.abs(row.at(time) - slow).max() < 0.004 * 30.0
    assert row.illuminance_lx[0] == row.illuminance_lx[-1] == 0.0


def test_changes_of_light_leave_the_rest_alone() -> None:
    day = natural_light(NOON, 7200.0, 50.0, 0.0)
    tunnel = under(day, 1000.0, 1100.0, **disturbance("tunnel by day"))
    cloud = behind(day, 1000.0, 2000.0, **disturbance("passing cloud"))
    flash = added(day, lightning(1000.0, **disturbance("lightning")))
    outside = np.array([0.0, 500.0, 999.0, 2500.0, 7200.0])
    for changed in (tunnel, cloud, flash):
        assert changed.at(outside) == pytest.approx(day.at(outside))
    assert tunnel.at([1002.0, 1050.0, 1098.0]) == pytest.approx([80.0] * 3)
    assert cloud.at([1020.0, 1500.0]) == pytest.approx(day.at([1020.0, 1500.0]) / 8.0, rel=1e-6)
    assert flash.at(1000.1) == pytest.approx(day.at(1000.1) + 2000.0) and flash.at(1000.225) < day.at(0.0) * 1.01


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: natural_light(np.datetime64("1949-01-01"), 600.0, 50.0, 0.0),
        lambda: natural_light(NOON, 600.0, 95.0, 0.0),
        lambda: natural_light(NOON, -1.0, 50.0, 0.0),
        lambda: natural_light(NOON, np.nan, 50.0, 0.0),
        lambda: Sky(cloud_divisor=0.5),
        lambda: Sky(moon_phase_deg=200.0),
        lambda: Sky(glow_lx=-1.0),
        lambda: LightProfile(np.array([0.0, 0.0]), np.array([1.0, 1.0])),
        lambda: LightProfile(np.array([0.0, 1.0]), np.array([1.0, -1.0])),
        lambda: LightProfile(np.array([]), np.array([])),
        lambda: under(LightProfile(np.array([0.0]), np.array([1.0])), 5.0, 6.0, 1.0),
        lambda: behind(LightProfile(np.array([0.0]), np.array([1.0])), 5.0, 60.0, 0.5),
        lambda: street_lamps(0.0, 0.0, 3, height_m=8.0, spacing_m=30.0, peak_lx=20.0),
        lambda: disturbance("hail"),
    ],
)
def test_what_has_no_meaning_is_told(wrong: object) -> None:
    with pytest.raises(UsageError):
        wrong()


def test_profiles_have_a_limit() -> None:
    with pytest.raises(LimitError):
        natural_light(NOON, 1e9, 50.0, 0.0)
    with pytest.raises(InputError):
        street_lamps(0.0, 10.0, 10**6, height_m=8.0, spacing_m=30.0, peak_lx=20.0)
