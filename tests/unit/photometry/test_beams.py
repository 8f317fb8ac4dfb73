from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scenelux.errors import UsageError
from scenelux.photometry import (
    Beam,
    Compound,
    CosinePower,
    EllipticalGaussian,
    FlatTop,
    beam_angles,
    beam_candela,
    cosine_power_exponent,
    default_orientation,
    field_angles,
    flux_lm,
    polar_table,
    sample,
)
from scenelux.photometry.sampling import CUTOFF_RAMP_DEG

BEAMS = [
    CosinePower(4200, 60),
    CosinePower(4200, 10),
    CosinePower(100, 1),
    CosinePower(100, 150),
    CosinePower(4200, 60, cutoff_above_deg=5),
    CosinePower(4200, 60, cutoff_above_deg=-3.37),
    EllipticalGaussian(3000, 80, 40),
    EllipticalGaussian(3000, 1, 2),
    EllipticalGaussian(1000, 24, 8, cutoff_above_deg=-2),
    FlatTop(1000, 90, 60, 10),
    FlatTop(1000, 20, 60, 3, cutoff_above_deg=4),
    FlatTop(1, 3, 3, 0.5),
    Compound(((EllipticalGaussian(700, 60, 10, -0.5), 0, -3), (EllipticalGaussian(200, 10, 4, 0.6), 3, -1.2))),
    Compound(((FlatTop(300, 40, 20, 6), -15, 2), (CosinePower(50, 90), 0, 0))),
]


def slow_candela(beam: CosinePower | EllipticalGaussian | FlatTop, f: float, left: float, up: float) -> float:
    """The beam of height one, straight from its words."""
    length = math.sqrt(f * f + left * left + up * up)
    h, v = math.degrees(math.asin(-left / length)), math.degrees(math.atan2(up, f))
    if f <= 0 or (beam.cutoff_above_deg is not None and v >= beam.cutoff_above_deg):
        return 0.0
    if isinstance(beam, CosinePower):
        return (f / length) ** (math.log(0.5) / math.log(math.cos(math.radians(beam.beam_angle_deg / 2))))
    if isinstance(beam, EllipticalGaussian):
        return 0.5 ** ((2 * h / beam.across_deg) ** 2 + (2 * v / beam.up_deg) ** 2)
    value = 1.0
    for angle, width in ((h, beam.across_deg), (v, beam.up_deg)):
        x = (abs(angle) - (width - beam.edge_deg) / 2) / beam.edge_deg
        value *= 1.0 if x <= 0 else 0.0 if x >= 1 else 0.5 + 0.5 * math.cos(math.pi * x)
    return value


@pytest.mark.parametrize("beam", [b for b in BEAMS if not isinstance(b, Compound)], ids=str)
def test_the_formula_is_the_one_in_words(beam: CosinePower | EllipticalGaussian | FlatTop) -> None:
    rng = np.random.default_rng(2)
    d = np.column_stack((np.ones(300), rng.normal(scale=0.3, size=300), rng.normal(scale=0.3, size=300)))
    slow = np.array([slow_candela(beam, *row) for row in d.tolist()])
    height = float(beam_candela(beam, d[slow.argmax()])) / slow.max()
    assert beam_candela(beam, d) == pytest.approx(height * slow, rel=1e-9, abs=1e-9 * height)


@pytest.mark.parametrize("beam", BEAMS, ids=lambda beam: type(beam).__name__)
def test_the_formula_has_the_stated_flux(beam: CosinePower) -> None:
    """Brute force over the front half in type B angles, with the cut-off lines on the grid."""
    h = np.unique(np.concatenate((np.linspace(-90, 90, 721), np.linspace(-8, 8, 801))))
    v = np.unique(np.concatenate((np.linspace(-90, 90, 721), np.linspace(-8, 8, 801), (-3.37,))))
    mh, mv = 0.5 * (h[1:] + h[:-1])[:, None], 0.5 * (v[1:] + v[:-1])[None, :]
    a, b = np.radians(mh), np.radians(mv)
    d = np.stack(np.broadcast_arrays(np.cos(a) * np.cos(b), -np.sin(a), np.cos(a) * np.sin(b)), axis=-1)
    total = np.sum(
        beam_candela(beam, d) * np.cos(a) * np.radians(np.diff(h))[:, None] * np.radians(np.diff(v))[None, :]
    )
    assert total == pytest.approx(beam.flux_lm, rel=1e-3)


def cutoffs(beam: object) -> list[float]:
    parts = [part for part, _, _ in beam.parts] if isinstance(beam, Compound) else [beam]
    return [part.cutoff_above_deg for part in parts if part.cutoff_above_deg is not None]


@pytest.mark.parametrize("beam", BEAMS, ids=lambda beam: type(beam).__name__)
def test_the_table_is_the_beam_within_half_a_percent_of_its_peak(beam: CosinePower) -> None:
    table = sample(beam)
    assert flux_lm(table) == pytest.approx(beam.flux_lm, rel=1e-12)
    rng = np.random.default_rng(4)
    scale = rng.choice((0.003, 0.03, 0.3, 3.0), size=(60_000, 1))
    d = np.column_stack((np.ones(60_000), rng.normal(size=(60_000, 2)) * scale))
    exact = beam_candela(beam, d)
    v = np.degrees(np.arctan2(d[:, 2], d[:, 0]))
    for cutoff in cutoffs(beam):  # the ramp itself is the one place that a table cannot follow
        outside = (v <= cutoff - CUTOFF_RAMP_DEG - 1e-9) | (v >= cutoff)
        d, exact, v = d[outside], exact[outside], v[outside]
    mounted = polar_table(table, default_orientation(table.photometric_type))
    assert np.abs(mounted.intensity(d) - exact).max() <= 0.005 * exact.max()


@pytest.mark.parametrize("beam", [b for b in BEAMS if cutoffs(b)], ids=lambda beam: type(beam).__name__)
def test_nothing_at_or_above_the_cutoff_line(beam: CosinePower) -> None:
    table = sample(beam)
    above = table.vertical_deg >= max(cutoffs(beam))
    assert above.any() and table.candela[:, above].max() == 0.0
    up = np.array([(1.0, left, math.tan(math.radians(max(cutoffs(beam)) + 1e-3))) for left in (-2, 0, 1)])
    assert beam_candela(beam, up).max() == 0.0


def test_nothing_behind() -> None:
    for beam in BEAMS:
        assert float(beam_candela(beam, (-1.0, 0.1, 0.1))) == 0.0


def test_a_round_beam_is_type_c_and_the_others_type_b() -> None:
    assert sample(CosinePower(1000, 60)).photometric_type == "C"
    assert {sample(beam).photometric_type for beam in BEAMS if cutoffs(beam)} == {"B"}
    assert sample(EllipticalGaussian(1000, 60, 60)).photometric_type == "B"


def test_tables_stay_small() -> None:
    assert sample(CosinePower(4200, 60)).candela.size < 300
    assert sample(EllipticalGaussian(3000, 80, 40)).candela.size < 20_000


@pytest.mark.parametrize(
    ("beam", "across", "up"),
    [(CosinePower(10, 60), 60, 60), (EllipticalGaussian(10, 70, 30), 70, 30), (FlatTop(10, 90, 50, 12), 90, 50)],
)
def test_the_table_has_the_stated_widths(beam: CosinePower, across: float, up: float) -> None:
    table = sample(beam)
    found = beam_angles(table, default_orientation(table.photometric_type))
    assert (found.across_deg, found.up_deg) == pytest.approx((across, up), abs=1e-9)


def test_field_angle_of_the_round_beam() -> None:
    """10 %: cos^n of half the field angle is 0.1."""
    expected = 2 * math.degrees(math.acos(0.1 ** (1 / cosine_power_exponent(60))))
    found = field_angles(sample(CosinePower(10, 60)), default_orientation("C"))
    assert found.across_deg == pytest.approx(expected, abs=0.1)


def test_a_part_moved_to_the_right_and_down_peaks_there() -> None:
    table = sample(Compound(((EllipticalGaussian(100, 10, 5), 4.0, -2.0),)))
    i, j = np.unravel_index(table.candela.argmax(), table.candela.shape)
    assert (table.horizontal_deg[i], table.vertical_deg[j]) == pytest.approx((4, -2), abs=0.1)


@settings(max_examples=40, deadline=None)
@given(
    flux=st.floats(1, 50_000),
    across=st.floats(2, 90),
    up=st.floats(2, 90),
    cutoff=st.one_of(st.none(), st.floats(-0.9, 60)),
)
def test_any_gaussian_has_exactly_its_lumens(flux: float, across: float, up: float, cutoff: float | None) -> None:
    assert flux_lm(sample(EllipticalGaussian(flux, across, up, cutoff))) == pytest.approx(flux, rel=1e-10)


@pytest.mark.parametrize(
    ("make", "key"),
    [
        (lambda: CosinePower(0, 60), "flux_lm"),
        (lambda: CosinePower(float("nan"), 60), "flux_lm"),
        (lambda: CosinePower(100, 0.5), "beam_angle_deg"),
        (lambda: CosinePower(100, 180), "beam_angle_deg"),
        (lambda: CosinePower(100, 60, 90), "cutoff_above_deg"),
        (lambda: EllipticalGaussian(100, 100, 20), "across_deg"),
        (lambda: EllipticalGaussian(100, 20, float("inf")), "up_deg"),
        (lambda: FlatTop(100, 20, 10, 11), "edge_deg"),
        (lambda: FlatTop(100, 150, 100, 40), "edge_deg"),
    ],
)
def test_figures_outside_their_range(make: object, key: str) -> None:
    with pytest.raises(UsageError) as caught:
        make()
    assert caught.value.key == key


@pytest.mark.parametrize("beam", [CosinePower(4200, 60), CosinePower(1000, 20), EllipticalGaussian(4200, 80, 40)])
def test_the_dim_edge_is_followed_in_its_own_measure(beam: Beam) -> None:
    """Within 0.6 % of the intensity itself, down to a thousandth of the peak: what shines into drivers' eyes."""
    rng = np.random.default_rng(7)
    directions = rng.normal(size=(20_000, 3))
    table = sample(beam)
    exact = beam_candela(beam, directions)
    ours = table.intensity(default_orientation(table.photometric_type).to_photometric(directions))
    lit = exact > 1e-3 * exact.max()
    assert lit.sum() > 500
    np.testing.assert_allclose(ours[lit], exact[lit], rtol=0.006)
