"""The simulated sensor against a plain sampling in small steps, and by hand."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest

from scenelux.errors import LimitError, UsageError
from scenelux.switching.ambient import Ambient, Profile, repeated, with_noise
from scenelux.switching.averaged import Light, reading_from
from scenelux.switching.curves import Curve, Term, crossings
from scenelux.switching.feedback import held_by_own_light, oscillation
from scenelux.switching.machine import Sensor, reachable
from scenelux.switching.sensor import own_light_flutters, simulate, sum_over

STEP_S = 0.002


def constant(lux: float) -> Ambient:
    return Ambient((Profile((0.0,), (lux,)),))


def sampled_switches(sensor: Sensor, ambient: Ambient, end_s: float, own: dict[str, float]) -> list[float]:
    """Switch times by small steps of constant light, with the definition of each average."""
    times = np.arange(0.0, end_s, STEP_S)
    outside = sensor.view_factor * sum(_values(profile, times) for profile in ambient.profiles)
    reads, since, average = "day", math.inf, outside[0] + own["day"]
    window = [outside[0] + own["day"]] * max(1, round(sensor.averaging_s / STEP_S))
    total, found = sum(window), []
    for at, time in enumerate(times):
        light = outside[at] + own[reads]
        if sensor.averaging == "first order":
            average += (light - average) * (1.0 - math.exp(-STEP_S / sensor.averaging_s))
        elif sensor.averaging == "moving mean":
            total += light - window[at % len(window)]
            window[at % len(window)] = light
            average = total / len(window)
        else:
            average = light
        wants = {"day": average < sensor.dark_below_lx, "night": average > sensor.bright_above_lx}[reads]
        since = min(since, time) if wants else math.inf
        turned = "night" if reads == "day" else "day"
        if wants and time - since >= sensor.dwell_s(turned):
            reads, since = turned, math.inf
            found.append(float(time))
    return found


def _values(profile: Profile, times: np.ndarray) -> np.ndarray:
    if profile.scale == "log":
        return np.exp(np.interp(times, profile.time_s, np.log(profile.lux)))
    return np.interp(times, profile.time_s, profile.lux)


def random_ambient(rng: random.Random) -> Ambient:
    times = sorted(rng.uniform(0.0, 40.0) for _ in range(12))
    dusk = Profile(tuple(times), tuple(10.0 ** rng.uniform(0.0, 2.7) for _ in times), "log")
    return Ambient((dusk, repeated([(0.0, 0.0), (0.4, 40.0), (0.9, 0.0)], rng.uniform(1.5, 4.0), 8)))


@pytest.mark.parametrize("averaging", ["none", "first order", "moving mean"])
@pytest.mark.parametrize("seed", range(4))
def test_switches_are_those_of_small_steps(averaging: str, seed: int) -> None:
    rng = random.Random(seed)
    taken = 0.0 if averaging == "none" else rng.uniform(0.3, 2.0)
    sensor = Sensor(25.0, 70.0, rng.uniform(0.2, 1.5), rng.uniform(0.2, 1.5), averaging, taken, 0.8)  # type: ignore[arg-type]
    ambient, own = random_ambient(rng), {"day": 0.0, "night": rng.choice([0.0, 15.0, 80.0])}
    ours = simulate(sensor, ambient, 0.0, 40.0, own_lx=own)  # type: ignore[arg-type]
    plain = sampled_switches(sensor, ambient, 40.0, own)
    assert len(ours.switches_s) == len(plain)
    # Each switch of the sampled run comes up to three steps late, and where own light drives it the delays add up.
    late = np.array(plain) - np.array(ours.switches_s)
    assert np.all(np.abs(late) <= 3.0 * STEP_S * np.arange(1, len(plain) + 1))


def test_crossings_are_all_found_and_exact() -> None:
    rng = random.Random(3)
    for _ in range(60):
        curve = Curve((
            Term(0.0, tuple(rng.uniform(-3.0, 3.0) for _ in range(3))),
            Term(-rng.uniform(0.2, 4.0), (rng.uniform(-5.0, 5.0),)),
            Term(rng.uniform(-1.0, 1.0), (rng.uniform(-5.0, 5.0),)),
        ))  # fmt: skip
        found = crossings(curve, 0.5, 6.0)
        assert all(abs(curve.at(at) - 0.5) < 1e-9 * max(1.0, abs(curve.at(6.0))) for at in found)
        times = np.linspace(0.0, 6.0, 6001)
        signs = np.sign([curve.at(float(t)) - 0.5 for t in times])
        assert len(found) >= np.count_nonzero(signs[1:] * signs[:-1] < 0)
        assert all(np.any(np.abs(times[:-1][signs[1:] * signs[:-1] <= 0] - at) < 2e-3) for at in found)


def test_first_order_reading_of_a_step_crosses_when_its_logarithm_says() -> None:
    step = Ambient((Profile((0.0, 10.0, 10.0), (100.0, 100.0, 0.0)),))
    run = simulate(Sensor(20.0, 80.0, 0.0, 0.0, "first order", 4.0), step, 0.0, 60.0)
    assert run.switches_s == pytest.approx((10.0 + 4.0 * math.log(5.0),), abs=1e-9)


def test_moving_mean_of_a_step_falls_in_a_straight_line() -> None:
    step = Ambient((Profile((0.0, 10.0, 10.0), (100.0, 100.0, 0.0)),))
    run = simulate(Sensor(20.0, 80.0, 1.5, 0.0, "moving mean", 5.0), step, 0.0, 60.0)
    assert run.switches_s == pytest.approx((10.0 + 0.8 * 5.0 + 1.5,), abs=1e-12)


def test_crossing_back_starts_the_time_anew() -> None:
    dips = Ambient((Profile((0.0, 1.0, 1.0, 5.0, 5.0, 5.1, 5.1), (100.0, 100.0, 0.0, 0.0, 30.0, 30.0, 0.0)),))
    assert simulate(Sensor(20.0, 80.0, 4.5, 0.0), dips, 0.0, 30.0).switches_s == pytest.approx((9.6,))
    assert simulate(Sensor(20.0, 80.0, 3.5, 0.0), dips, 0.0, 30.0).switches_s == pytest.approx((4.5,))


def test_view_factor_is_a_share_of_the_light_outside() -> None:
    dusk = Ambient((Profile((0.0, 100.0), (100.0, 0.0)),))
    assert simulate(Sensor(20.0, 80.0, view_factor=0.5), dusk, 0.0, 100.0).switches_s == pytest.approx((60.0,))


def test_flutters_and_times() -> None:
    lamps = Ambient((repeated([(0.0, 100.0), (2.0, 0.0), (4.0, 100.0)], 4.0, 3),))
    run = simulate(Sensor(20.0, 80.0), lamps, 0.0, 12.0, undone_within_s=3.0)
    assert run.switches_s == pytest.approx((1.6, 3.6, 5.6, 7.6, 9.6, 11.6))
    assert run.flutters == 5
    assert simulate(Sensor(20.0, 80.0), lamps, 0.0, 12.0, undone_within_s=1.0).flutters == 0
    assert run.seconds("day") + run.seconds("night") == pytest.approx(12.0)
    assert sum_over(run, {"day": 100.0, "night": 40.0}) == pytest.approx(100.0 * 6.0 + 40.0 * 6.0)
    assert (run.reads_at(1.0), run.reads_at(2.0), run.reads_at(1.6000001)) == ("day", "night", "night")


def test_own_light_flutters_as_the_static_formula_says() -> None:
    sensor, own = Sensor(20.0, 80.0, 5.0, 3.0), {"day": 0.0, "night": 70.0}
    band = oscillation(sensor, own["day"], own["night"])
    assert band is not None
    for lux in (2.0, 9.9, 10.1, 15.0, 19.9, 20.1, 40.0):
        run = simulate(sensor, constant(lux), 0.0, 200.0, own_lx=own)  # type: ignore[arg-type]
        assert (run.flutters > 5) == (band.from_lx < lux < band.to_lx), lux
    assert own_light_flutters(sensor, constant(15.0), 0.0, 200.0, own) > 5  # type: ignore[arg-type]
    assert own_light_flutters(sensor, constant(5.0), 0.0, 200.0, own) == 0  # type: ignore[arg-type]


@pytest.mark.parametrize("averaging", ["first order", "moving mean"])
def test_averaging_slows_an_oscillation_and_does_not_end_it(averaging: str) -> None:
    own = {"day": 0.0, "night": 70.0}
    runs = [
        simulate(Sensor(20.0, 80.0, 5.0, 3.0, averaging, taken), constant(15.0), 0.0, 600.0, own_lx=own)  # type: ignore[arg-type]
        for taken in (0.5, 8.0)
    ]
    assert len(runs[0].switches_s) > len(runs[1].switches_s) > 5


def test_without_any_delay_it_switches_without_end() -> None:
    run = simulate(Sensor(20.0, 80.0), constant(15.0), 0.0, 60.0, own_lx={"day": 0.0, "night": 70.0})
    assert run.endless_from_s == 0.0


def test_too_many_switches_are_refused() -> None:
    with pytest.raises(LimitError, match="at most 5,000 switches are followed"):
        simulate(Sensor(20.0, 80.0, 0.1, 0.1), constant(15.0), 0.0, 1e5, own_lx={"day": 0.0, "night": 70.0})


def test_own_light_can_hold_the_sensor() -> None:
    assert held_by_own_light(Sensor(20.0, 80.0), 25.0)
    run = simulate(Sensor(20.0, 80.0, 5.0), constant(0.0), 0.0, 3600.0, own_lx={"day": 25.0, "night": 0.0})
    assert run.switches_s == ()


def test_stuck_sensors() -> None:
    day, night = constant(1e4), constant(0.1)
    sensor = Sensor(20.0, 80.0, 5.0, 3.0)
    assert simulate(sensor, day, 0.0, 60.0, fault="stuck low", fault_from_s=10.0).switches_s == (15.0,)
    assert simulate(sensor, night, 0.0, 60.0, fault="stuck high", fault_from_s=20.0).switches_s == (5.0, 23.0)
    with pytest.raises(UsageError):
        simulate(sensor, day, 0.0, 60.0, fault="noisy")


def test_noise_faster_than_the_times_to_wait_does_no_harm() -> None:
    noisy = with_noise(constant(50.0), 0.9, 0.5, 300.0, seed=1)
    assert simulate(Sensor(20.0, 80.0), noisy, 0.0, 300.0).flutters > 10
    assert simulate(Sensor(20.0, 80.0, 5.0, 5.0), noisy, 0.0, 300.0).flutters == 0
    assert simulate(Sensor(20.0, 80.0, averaging="moving mean", averaging_s=20.0), noisy, 0.0, 300.0).flutters == 0


def test_simulation_stays_within_the_states_that_the_check_looks_at() -> None:
    sensor, rng = Sensor(25.0, 70.0, 0.7, 0.4), random.Random(11)
    states = {(state.reads, state.light) for state in reachable(sensor)}
    for _ in range(5):
        ambient = random_ambient(rng)
        run = simulate(sensor, ambient, 0.0, 40.0)
        for time in np.linspace(0.01, 39.99, 400):
            lux = ambient.at(float(time))
            light = "night" if lux < 25.0 else "day" if lux > 70.0 else "between"
            assert (run.reads_at(float(time)), light) in states


def test_stuck_sensors_reach_fewer_states() -> None:
    sensor = Sensor(20.0, 80.0, 5.0, 3.0)
    reads = {fault: {(s.reads, s.waits) for s in reachable(sensor, fault)} for fault in ("stuck low", "stuck high")}  # type: ignore[arg-type]
    assert reads == {"stuck low": {("day", True), ("night", False)}, "stuck high": {("night", True), ("day", False)}}
    assert len(reachable(sensor)) == 6
    assert {(s.reads, s.waits) for s in reachable(Sensor(20.0, 80.0))} == {("day", False), ("night", False)}
    assert len(reachable(sensor, "noisy")) == 12


@pytest.mark.parametrize("averaging", ["first order", "moving mean"])
def test_a_day_of_light_leaves_no_error_behind(averaging: str) -> None:
    """From noon to night the reading comes down by six powers of ten and still is the mean of the light at the end."""
    times = np.linspace(0.0, 86_400.0, 1441)
    lux = 10.0 ** (2.0 - 3.0 * np.cos(times / 86_400.0 * 2.0 * np.pi))
    day = Profile(tuple(times.tolist()), tuple(lux.tolist()), "log")
    until, taken = 86_400.0, 45.0
    reading = reading_at_the_end(Sensor(16.0, 64.0, 30.0, 60.0, averaging, taken), Ambient((day,)), until)  # type: ignore[arg-type]
    steps = (np.arange(900_000) + 0.5) * (taken * (1.0 if averaging == "moving mean" else 30.0) / 900_000)
    light = _values(day, until - steps)
    weights = np.ones_like(steps) if averaging == "moving mean" else np.exp(-steps / taken)
    assert reading == pytest.approx(float((light * weights).sum() / weights.sum()), abs=1e-8)


def reading_at_the_end(sensor: Sensor, ambient: Ambient, until_s: float) -> float:
    light, now, end = Light(ambient, sensor.view_factor, ((0.0, 0.0),)), 0.0, until_s
    reading = ambient.at(0.0)
    while now < end:
        curve, until = reading_from(sensor, light, now, reading, 0.0)
        reading, now = curve.at(min(until, end) - now), min(until, end)
    return reading
