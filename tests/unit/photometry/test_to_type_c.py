"""Types A and B as type C: a direction keeps its intensity, the flux stays, and one lamp is one lamp in all three."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from scenelux.photometry import (
    EllipticalGaussian,
    FlatTop,
    IntensityDistribution,
    Orientation,
    default_orientation,
    direction,
    flux_lm,
    parse_orientation,
    polar_table,
    sample,
)
from scenelux.photometry.to_type_c import LARGEST_TYPE_C, resampling_error, to_type_c

Array = NDArray[np.float64]


def everywhere(count: int, seed: int = 1) -> Array:
    """Random directions, even over the sphere, and as many near the three axes."""
    rng = np.random.default_rng(seed)
    even = rng.normal(size=(count, 3))
    near = np.repeat(np.vstack((np.eye(3), -np.eye(3))), count // 6, axis=0)
    near = near + 0.2 * rng.normal(size=near.shape)
    both = np.vstack((even, near))
    return both / np.linalg.norm(both, axis=-1, keepdims=True)


def uneven_beam(d: Array) -> Array:
    """A smooth beam in lamp axes (forward, left, up), off its axis and different to every side [cd]."""
    forward, left, up = np.moveaxis(np.asarray(d, float), -1, 0)
    front = np.clip(forward, 0, None)
    wide = 600 * front**3 * (1 + 0.4 * left - 0.3 * up + 0.5 * left * up)
    aim = np.array((0.96, -0.2, 0.18))
    hot = np.clip((forward * aim[0] + left * aim[1] + up * aim[2]) / np.linalg.norm(aim), 0, None)
    return np.asarray(np.clip(wide, 0, None) + 1400 * hot**60 * front)


def measured_as(kind: str, step_deg: float = 1.0) -> IntensityDistribution:
    """The uneven beam on the angles of a type, mounted in the usual way: direction vectors written out here."""
    angle = np.arange(-90, 90 + step_deg / 2, step_deg)
    h, v = np.meshgrid(np.radians(angle), np.radians(angle), indexing="ij")
    if kind == "A":  # forward x, left y, up z
        x, y, z = np.cos(v) * np.cos(h), -np.cos(v) * np.sin(h), np.sin(v)
        lamp = np.stack((x, y, z), axis=-1)
    else:  # forward -z, left y, up x
        x, y, z = np.cos(h) * np.sin(v), -np.sin(h), -np.cos(h) * np.cos(v)
        lamp = np.stack((-z, y, x), axis=-1)
    return IntensityDistribution(kind, angle, angle, uneven_beam(lamp))


def test_type_c_is_given_back_as_it_is() -> None:
    one = IntensityDistribution("C", [0, 360], [0, 90], [[5, 0]] * 2)
    assert to_type_c(one) is one


def table_a(seed: int) -> IntensityDistribution:
    rng = np.random.default_rng(seed)
    h = np.unique(np.round(rng.uniform(-90, 90, rng.integers(2, 9)), 1))
    v = np.unique(np.round(rng.uniform(-90, 90, rng.integers(2, 9)), 1))
    if h.size < 2 or v.size < 2:
        return table_a(seed + 1_000_000)
    candela = rng.uniform(0, 100, (h.size, v.size))
    candela[[0, -1]] *= rng.integers(0, 2, (2, 1))
    return IntensityDistribution("A", h, v, candela)


@given(st.integers(0, 10_000))
@settings(max_examples=40)
def test_type_a_is_only_relabelled(seed: int) -> None:
    """Nothing differs but within the 0.01 deg in which a table that stops with light on falls to 0."""
    source = table_a(seed)
    result = to_type_c(source)
    where = everywhere(600, seed)
    edges = np.degrees(np.arctan2(-where[:, 1], where[:, 0]))[:, None] - source.horizontal_deg[[0, -1]]
    away = np.abs(edges).min(axis=1) > 0.02
    assert result.intensity(where)[away] == pytest.approx(source.intensity(where)[away], abs=1e-6)
    assert result.candela.size <= (source.horizontal_deg.size + 4) * source.vertical_deg.size
    assert flux_lm(result) == pytest.approx(flux_lm(source), rel=0.02 / np.ptp(source.horizontal_deg) + 1e-9)


def test_worked_example_of_types_a_and_b() -> None:
    """The peak of the same numbers points to nadir as type B and to C 0 gamma 90 as type A."""
    numbers = 1000 * np.array(((0, 0, 0), (0, 1, 0), (0, 0, 0)))
    a, b = (to_type_c(IntensityDistribution(kind, [-90, 0, 90], [-90, 0, 90], numbers)) for kind in "AB")
    assert float(a.intensity((1, 0, 0))) == pytest.approx(1000) and float(a.intensity((0, 0, -1))) == 0
    assert float(b.intensity((0, 0, -1))) == pytest.approx(1000) and float(b.intensity((1, 0, 0))) == 0
    assert float(a.intensity((0.5, -0.5, np.sqrt(0.5)))) == pytest.approx(250)
    assert float(b.intensity((0.5, -np.sqrt(0.5), -0.5))) == pytest.approx(250, abs=5)
    assert flux_lm(a) == pytest.approx(2000, rel=1e-12) and flux_lm(b) == pytest.approx(2000, rel=1e-3)


SMOOTH = {
    "narrow": sample(EllipticalGaussian(1000.0, 6.0, 4.0)),
    "oval": sample(EllipticalGaussian(1000.0, 60.0, 20.0)),
    "flat top": sample(FlatTop(1000.0, 60.0, 30.0, 5.0)),
    "uneven": measured_as("B"),
    "uneven, coarse": measured_as("B", 5.0),
    "three angles": IntensityDistribution(
        "B", [-90, 0, 90], [-90, 0, 90], 1000 * np.array(((0, 0, 0), (0, 1, 0), (0, 0, 0)))
    ),
}


@pytest.mark.parametrize("source", SMOOTH.values(), ids=SMOOTH)
def test_type_b_within_half_a_percent_of_the_peak(source: IntensityDistribution) -> None:
    result = to_type_c(source)
    assert result.candela.size <= LARGEST_TYPE_C and result.vertical_deg[[0, -1]].tolist() == [0, 90]
    where = everywhere(60_000)
    beside_the_pole = np.abs(where[:, 1]) < np.cos(np.radians(0.1))  # where all planes of type B meet
    difference = np.abs(result.intensity(where) - source.intensity(where))[beside_the_pole]
    assert difference.max() <= 0.005 * source.candela.max()
    assert flux_lm(result) == pytest.approx(flux_lm(source), rel=1e-3)
    error = resampling_error(source, result)
    assert error.flux_percent <= 0.1 and error.directions_percent < 0.01


def test_symmetry_stays_exact() -> None:
    result = to_type_c(SMOOTH["oval"])
    half = result.horizontal_deg.size // 2
    assert np.array_equal(result.candela, result.candela[::-1])
    assert np.array_equal(result.candela[: half + 1], result.candela[half::-1])


@pytest.mark.parametrize("axis", [0, 1], ids=["in H", "in V"])
def test_one_mirror_stays_exact(axis: int) -> None:
    uneven = measured_as("B", 5.0)
    candela = uneven.candela + np.flip(uneven.candela, axis=axis)
    result = to_type_c(IntensityDistribution("B", uneven.horizontal_deg, uneven.vertical_deg, candela))
    c = result.horizontal_deg
    image = np.round((360 if axis == 0 else 180) - c, 9) % 360
    assert np.unique(np.round(image, 6)) == pytest.approx(np.unique(np.round(c % 360, 6)))  # planes for planes
    gamma = result.vertical_deg[None, :]
    assert result.candela_at(image[:, None], gamma) == pytest.approx(result.candela_at(c[:, None], gamma), rel=1e-9)
    assert not np.array_equal(candela, np.flip(candela, axis=1 - axis))


def test_a_sharp_cut_off_stays_within_the_limit_and_is_told() -> None:
    source = sample(FlatTop(1000.0, 60.0, 30.0, 5.0, cutoff_above_deg=-0.57))
    result = to_type_c(source)
    error = resampling_error(source, result)
    assert result.candela.size <= LARGEST_TYPE_C
    assert error.worst_percent > 5 and error.directions_percent < 2 and error.flux_percent < 0.1
    h, v = np.meshgrid(np.linspace(-25, 25, 51), np.linspace(-20, 20, 8001), indexing="ij")
    where = direction("B", h, v)
    wrong = np.abs(result.intensity(where) - source.intensity(where)) > 0.005 * source.candela.max()
    assert wrong.any() and np.abs(v[wrong] + 0.57).max() < 0.15  # nowhere but along the line


def test_a_wrong_table_is_found() -> None:
    source = SMOOTH["uneven"]
    good = to_type_c(source)
    bad = IntensityDistribution("C", good.horizontal_deg, good.vertical_deg, 1.02 * good.candela)
    assert resampling_error(source, good).worst_percent < 0.5
    error = resampling_error(source, bad)
    assert error.worst_percent == pytest.approx(2, abs=0.3) and error.flux_percent == pytest.approx(2, abs=0.1)
    assert error.directions_percent > 5
    where = np.radians((error.C_deg, error.gamma_deg))
    d = (np.sin(where[1]) * np.cos(where[0]), np.sin(where[1]) * np.sin(where[0]), -np.cos(where[1]))
    assert float(source.intensity(d)) > 0.7 * source.candela.max()


def test_dark_lamp() -> None:
    dark = IntensityDistribution("B", [-90, 90], [-90, 90], np.zeros((2, 2)))
    assert not to_type_c(dark).candela.any() and resampling_error(dark, to_type_c(dark)).worst_percent == 0


MOUNTED: dict[str, tuple[IntensityDistribution, Orientation]] = {
    "A": (measured_as("A"), default_orientation("A")),
    "B": (measured_as("B"), default_orientation("B")),
    "C from A": (to_type_c(measured_as("A")), parse_orientation("C", "C 0 gamma 90", "gamma 180")),
    "C from B": (to_type_c(measured_as("B")), parse_orientation("C", None, "C 0")),
}


@pytest.mark.parametrize("lamp", MOUNTED.values(), ids=MOUNTED)
def test_one_lamp_in_every_type_shines_the_same_way_on_the_vehicle(
    lamp: tuple[IntensityDistribution, Orientation],
) -> None:
    """The beam is known in lamp axes; what each file gives there, mounted, is that beam."""
    where = everywhere(30_000)
    front = where[(where[:, 0] > 0.02) & (np.abs(where[:, 1:]).max(axis=1) < 0.999)]
    exact = uneven_beam(front)
    found = polar_table(*lamp).intensity(front)
    assert np.abs(found - exact).max() <= 0.007 * uneven_beam(where).max()  # 1 deg steps and the resampling
    behind = where[where[:, 0] < -0.02]
    assert np.abs(polar_table(*lamp).intensity(behind)).max() == pytest.approx(0, abs=1e-9)


def test_the_usual_mounting_would_turn_a_lamp_that_became_type_c() -> None:
    where = everywhere(5_000)
    for kind in ("A", "B"):
        wrong = polar_table(to_type_c(measured_as(kind)), default_orientation("C")).intensity(where)
        assert np.abs(wrong - uneven_beam(where)).max() > 200
