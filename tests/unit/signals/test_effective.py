"""Effective intensity against direct quadrature and search, on random trains of pulses."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import integrate, optimize

from scenelux.errors import UsageError
from scenelux.signals import MODELS, VISUAL_TIME_S, Waveform, composite, effective_intensity, from_segments
from scenelux.signals.allard import answers_at
from scenelux.timing import parse_pattern
from tests.signal_trains import light_at, random_train

A = 0.2
NEAR = 1e-9
SEEDS = range(6)


def energy_until(train: Waveform, time: float) -> float:
    """Quadrature over each segment by itself, so that no jump lies inside."""
    ends = [edge for edge in train.times_s if edge < time] + [min(time, train.period_s)]
    return sum(
        integrate.quad(lambda t: light_at(train, t), low, high, epsabs=1e-11, epsrel=1e-12)[0]
        for low, high in itertools.pairwise(ends)
    )


def window_by_search(train: Waveform) -> float:
    """The largest energy/(a + time): for each pair of segments a bounded search over both ends, from their middles."""
    until = [energy_until(train, float(edge)) for edge in train.times_s]

    def energy(time: float) -> float:
        k = min(int(np.searchsorted(train.times_s, time, side="right")) - 1, len(train.times_s) - 2)
        into = time - train.times_s[k]
        slope = (train.end_cd[k] - train.start_cd[k]) / (train.times_s[k + 1] - train.times_s[k])
        return until[k] + into * (train.start_cd[k] + 0.5 * slope * into)

    def lost(ends: NDArray[np.float64]) -> float:
        return -(energy(ends[1]) - energy(ends[0])) / (A + ends[1] - ends[0])

    best = 0.0
    for first, last in itertools.combinations_with_replacement(range(len(train.lengths_s)), 2):
        low, high = train.times_s[first], train.times_s[last + 1]
        bounds = [(low, train.times_s[first + 1]), (train.times_s[last], high)]
        for begin in ([low, high], [sum(bounds[0]) / 2, sum(bounds[1]) / 2]):
            if begin[1] > begin[0]:
                found = optimize.minimize(lost, begin, bounds=bounds, method="L-BFGS-B",
                                          options={"ftol": 1e-15, "gtol": 1e-9})  # fmt: skip
                best = max(best, -found.fun if found.x[1] >= found.x[0] else 0.0)
    return best


@pytest.mark.parametrize("seed", range(3))
def test_douglas_against_quadrature_and_search(seed: int) -> None:
    train = random_train(np.random.default_rng(seed), segments=6)
    ours = float(effective_intensity(train, "blondel-rey-douglas", repeated=False))
    slow = window_by_search(train)
    assert ours == pytest.approx(slow, rel=1e-7) and ours >= slow * (1 - NEAR)


@pytest.mark.parametrize("seed", range(40))
def test_douglas_meets_its_equation_and_no_window_is_better(seed: int) -> None:
    """int (I - Ie) dt over the best window is a Ie, and over any other no more."""
    generator = np.random.default_rng(seed)
    train = random_train(generator)
    ours = float(effective_intensity(train, "blondel-rey-douglas", repeated=False))
    grid = np.unique(np.concatenate([np.linspace(0, train.period_s, 1500), train.times_s, crossings(train, ours)]))
    middle = train.at(0.5 * (grid[1:] + grid[:-1]))  # exact for straight parts
    gained = np.concatenate([[0.0], np.cumsum((middle - ours) * np.diff(grid))])
    best = (gained - np.minimum.accumulate(gained)).max()
    assert best == pytest.approx(A * ours, rel=NEAR)


def crossings(train: Waveform, level: float) -> NDArray[np.float64]:
    rise = train.end_cd - train.start_cd
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (level - train.start_cd) / rise
    inside = np.isfinite(share) & (share > 0) & (share < 1)
    return np.asarray((train.times_s[:-1] + share * train.lengths_s)[inside])


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("model", ["allard", "modified-allard"])
def test_fading_memory_against_quadrature(model: str, seed: int) -> None:
    train = random_train(np.random.default_rng(seed), segments=7)
    ours = float(effective_intensity(train, model, repeated=False))  # type: ignore[arg-type]
    kernel = {"allard": lambda t: np.exp(-t / A) / A, "modified-allard": lambda t: A / (A + t) ** 2}[model]

    def answer(time: float) -> float:
        total = 0.0
        for low, high in itertools.pairwise(train.times_s):
            if low < time:
                total += integrate.quad(lambda t: light_at(train, t) * kernel(time - t), low, min(high, time),
                                        epsabs=1e-11, epsrel=1e-12)[0]  # fmt: skip
        return total

    coarse = np.linspace(0.0, train.period_s, 160)
    values = [answer(float(t)) for t in coarse]
    best = max(values)
    for k in np.argsort(values)[-4:]:
        low, high = coarse[max(k - 1, 0)], coarse[min(k + 1, 159)]
        best = max(best, -optimize.minimize_scalar(lambda t: -answer(t), bounds=(low, high), method="bounded",
                                                   options={"xatol": 1e-9}).fun)  # fmt: skip
    best = max(best, *(answer(float(edge)) for edge in train.times_s))
    assert ours == pytest.approx(best, rel=NEAR)


@pytest.mark.parametrize("seed", range(12))
def test_form_factor_against_quadrature(seed: int) -> None:
    """One flash by its definition Imax/(1 + a/(F T)); two with a long gap between give the better one."""
    generator = np.random.default_rng(seed)
    pulses = [from_segments(generator.uniform(0.01, 0.09, 4), *generator.uniform(200, 2000, (2, 4))) for _ in range(2)]
    single = []
    for pulse in pulses:
        energy, peak, period = energy_until(pulse, pulse.period_s), float(pulse.peak_cd), 1.7
        single.append(peak / (1 + A / (energy / (peak * period) * period)))
        assert float(effective_intensity(pulse, "form-factor", repeated=False)) == pytest.approx(single[-1], rel=NEAR)
    gap = from_segments([0.1], [0.0])
    row = [pulses[0], gap, pulses[1], gap]
    both = from_segments(*(np.concatenate([getattr(one, name) for one in row]) for name in
                           ("lengths_s", "start_cd", "end_cd")))  # fmt: skip
    for repeated in (False, True):
        assert float(effective_intensity(both, "form-factor", repeated=repeated)) == pytest.approx(
            max(single), rel=NEAR
        )


def test_a_long_cycle_of_many_flashes_is_not_one_flash() -> None:
    """Two lamps at 75 and 77 a minute meet every 30 s, where both flash as one: that flash is the best of 76."""
    slow, quick = (parse_pattern(f"{rate} per minute: on 50 ms, off") for rate in (75, 77))
    together = float(effective_intensity(composite([slow, quick], [100.0, 100.0]), "form-factor"))
    assert together == pytest.approx(200 * 0.05 / (0.2 + 0.05), rel=1e-9)


def cycles(train: Waveform, count: int) -> Waveform:
    return from_segments(np.tile(train.lengths_s, count), np.tile(train.start_cd, count), np.tile(train.end_cd, count))


@pytest.mark.parametrize("seed", SEEDS)
def test_a_repeated_light_is_many_cycles(seed: int) -> None:
    train = random_train(np.random.default_rng(seed))
    train = train.less(train.least_cd)
    many = cycles(train, 40)
    slow = float(effective_intensity(many, "allard", repeated=False))
    assert float(effective_intensity(train, "allard")) == pytest.approx(slow, rel=NEAR)
    for model in ("blondel-rey", "blondel-rey-douglas"):
        ours = float(effective_intensity(train, model))  # type: ignore[arg-type]
        slow = float(effective_intensity(many, model, repeated=False))  # type: ignore[arg-type]
        assert slow <= ours * (1 + NEAR) and ours <= max(slow * (1 + NEAR), float(train.mean_cd))


def test_the_whole_past_of_the_modified_model_is_what_long_sums_come_to() -> None:
    """What n cycles leave out falls as a/(n T) of the mean; two lengths of history give the limit by extrapolation."""
    train = from_segments([0.05, 0.1, 0.25], [800.0, 0.0, 0.0], [800.0, 300.0, 0.0])
    ours = float(effective_intensity(train, "modified-allard"))
    few, more = (float(effective_intensity(cycles(train, n), "modified-allard", repeated=False)) for n in (60, 120))
    assert few < more < ours and 2 * more - few == pytest.approx(ours, rel=2e-5)


def test_fast_switching_is_its_mean_but_for_the_form_factor() -> None:
    fast = from_segments([0.0005, 0.0005], [1000.0, 0.0])
    for model in ("blondel-rey-douglas", "allard", "modified-allard"):
        assert float(effective_intensity(fast, model)) == pytest.approx(500.0, rel=2e-3)  # type: ignore[arg-type]
    assert np.isnan(effective_intensity(fast, "form-factor"))  # no flash is parted from the next


def test_a_steady_part_is_taken_away_and_a_steady_light_does_not_flash() -> None:
    flash = from_segments([0.1, 0.9], [1000.0, 0.0])
    lifted = from_segments([0.1, 0.9], [1300.0, 300.0])
    for model in MODELS:
        assert effective_intensity(lifted, model) == pytest.approx(effective_intensity(flash, model), rel=1e-12)
        assert effective_intensity(from_segments([1.0], [700.0]), model) == 0.0
        assert effective_intensity(from_segments([1.0], [0.0]), model, repeated=False) == 0.0


def test_blondel_and_rey_end_at_a_gap() -> None:
    """A pair is its better pulse, however short the gap; without a gap it is one pulse."""
    pair = from_segments([0.05, 0.001, 0.05], [1000.0, 0.0, 800.0])
    assert float(effective_intensity(pair, "blondel-rey", a_s=0.2, repeated=False)) == pytest.approx(200.0)
    joined = from_segments([0.05, 0.05], [1000.0, 1000.0])
    assert float(effective_intensity(joined, "blondel-rey", a_s=0.2, repeated=False)) == pytest.approx(1000 / 3)
    assert VISUAL_TIME_S["blondel-rey"] == 0.21 and VISUAL_TIME_S["allard"] == 0.2


def test_a_flash_over_the_end_of_the_cycle_is_whole() -> None:
    whole = from_segments([0.2, 0.8], [1000.0, 0.0])
    split = from_segments([0.1, 0.8, 0.1], [1000.0, 0.0, 1000.0])
    for model in MODELS:
        assert effective_intensity(split, model) == pytest.approx(effective_intensity(whole, model), rel=1e-12)


def test_directions_are_each_by_itself() -> None:
    patterns = [parse_pattern("75 per minute: 2 x (on 60 ms, off 60 ms), off"), parse_pattern("on 300 ms, off 100 ms")]
    light = np.random.default_rng(3).uniform(0.0, 1000.0, (2, 3, 2))
    together = composite(patterns, light)
    for model in MODELS:
        found = effective_intensity(together, model)
        assert found.shape == (3, 2)
        for at in itertools.product(range(3), range(2)):
            alone = effective_intensity(together.only(*at), model)
            assert found[at] == pytest.approx(alone, rel=1e-12, nan_ok=True)


@pytest.mark.parametrize("wrong", [{"model": "blondel"}, {"a_s": 0.0}, {"a_s": float("nan")}])
def test_what_is_refused(wrong: dict[str, object]) -> None:
    with pytest.raises(UsageError):
        effective_intensity(from_segments([1.0], [1.0]), **wrong)  # type: ignore[arg-type]


@pytest.mark.parametrize("seed", range(20))
def test_windows_of_rectangles_against_every_pair_of_edges(seed: int) -> None:
    """The best window of rectangles begins and ends at edges; of a repeated light within two cycles, or never ends."""
    train = random_train(np.random.default_rng(seed), slanted=False)
    train = train.less(train.least_cd)
    for repeated, count in ((False, 1), (True, 2)):
        whole = cycles(train, count)
        until = np.concatenate([[0.0], np.cumsum(whole.start_cd * whole.lengths_s)])
        pairs = itertools.combinations(range(len(until)), 2)
        slow = max((until[k] - until[j]) / (A + whole.times_s[k] - whole.times_s[j]) for j, k in pairs)
        slow = max(slow, float(train.mean_cd)) if repeated else slow
        assert float(effective_intensity(train, repeated=repeated)) == pytest.approx(slow, rel=1e-12)


@pytest.mark.parametrize("seed", range(8))
def test_no_instant_of_the_modified_model_is_above_what_is_found(seed: int) -> None:
    train = random_train(np.random.default_rng(seed), segments=11, slanted=bool(seed % 2))
    train = train.less(train.least_cd)
    ours = float(effective_intensity(train, "modified-allard"))
    rows = Waveform(train.times_s, train.start_cd[np.newaxis], train.end_cd[np.newaxis])
    dense = answers_at(rows, np.unique(np.append(np.linspace(0.0, train.period_s, 4001), train.times_s)), A, True).max()
    assert dense * (1 - 1e-12) <= ours <= dense * (1 + 1e-5)
