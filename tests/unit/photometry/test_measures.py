from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scenelux.photometry import (
    IntensityDistribution,
    Orientation,
    Widths,
    beam_angles,
    default_orientation,
    direction,
    field_angles,
    flux_above_horizontal_lm,
    flux_lm,
    parse_orientation,
    peak,
    read_hv_table,
)
from scenelux.photometry.crossings import lit_span
from scenelux.photometry.measures import beam_angles_through_peak, covers


def slow_flux(d: IntensityDistribution, steps: int = 400) -> float:
    """Midpoint sum over every cell, fine enough for six digits."""
    total = 0.0
    h, v = np.radians(d.horizontal_deg), np.radians(d.vertical_deg)
    n = steps // max(h.size, v.size) + 24
    middle = (np.arange(n) + 0.5) / n
    for i in range(h.size - 1):
        for j in range(v.size - 1):
            s, t = np.meshgrid(middle, middle, indexing="ij")
            c = d.candela
            low = c[i, j] * (1 - t) + c[i, j + 1] * t
            high = c[i + 1, j] * (1 - t) + c[i + 1, j + 1] * t
            at_h, at_v = h[i] + s * (h[i + 1] - h[i]), v[j] + t * (v[j + 1] - v[j])
            weight = {"C": np.sin(at_v), "B": np.cos(at_h), "A": np.cos(at_v)}[d.photometric_type]
            area = (h[i + 1] - h[i]) * (v[j + 1] - v[j]) / n**2
            total += float(np.sum((low * (1 - s) + high * s) * weight)) * area
    return total


def lamp(kind: str, seed: int) -> IntensityDistribution:
    rng = np.random.default_rng(seed)
    h, v = ([0, 70, 200, 360], [0, 25, 90, 140]) if kind == "C" else ([-90, -40, 15, 90], [-80, 0, 33, 90])
    candela = rng.uniform(0, 500, (4, 4))
    if kind == "C":
        candela[-1] = candela[0]
    return IntensityDistribution(kind, h, v, candela)


@pytest.mark.parametrize("kind", ["A", "B", "C"])
def test_flux_is_the_integral_of_the_interpolant(kind: str) -> None:
    assert flux_lm(lamp(kind, 1)) == pytest.approx(slow_flux(lamp(kind, 1)), rel=2e-5)


@pytest.mark.parametrize("kind", ["A", "B", "C"])
def test_an_even_lamp_has_its_solid_angle(kind: str) -> None:
    if kind == "C":
        even = IntensityDistribution("C", [0, 90, 360], [0, 180], np.full((3, 2), 10.0))
        assert flux_lm(even) == pytest.approx(40 * math.pi, rel=1e-14)
    else:
        even = IntensityDistribution(kind, [-90, 90], [-90, 90], np.full((2, 2), 10.0))
        assert flux_lm(even) == pytest.approx(20 * math.pi, rel=1e-14)


def test_more_angles_on_the_same_lines_change_nothing() -> None:
    coarse = lamp("B", 2)
    h, v = np.linspace(-90, 90, 181), np.linspace(-80, 90, 171)
    fine = IntensityDistribution("B", h, v, coarse.candela_at(h[:, None], v[None, :]))
    assert flux_lm(fine) == pytest.approx(flux_lm(coarse), rel=1e-12)


def test_peak_and_where() -> None:
    one = IntensityDistribution(
        "B", [-90, -10, 0, 20, 90], [-90, 0, 5, 90], np.zeros((5, 4)) + np.eye(5, 4) * [1, 2, 9, 3]
    )
    top = peak(one)
    assert (top.candela, top.horizontal_deg, top.vertical_deg) == (9, 0, 5)
    assert (top.C_deg, top.gamma_deg) == pytest.approx((90, 5))


def test_of_equal_peaks_the_nearest_to_the_axis() -> None:
    flat = IntensityDistribution("B", [-90, -5, 0, 5, 90], [-90, -3, 0, 3, 90], np.pad(np.full((3, 3), 7.0), 1))
    assert (peak(flat).horizontal_deg, peak(flat).vertical_deg) == (0, 0)
    turned = parse_orientation("B", "H 5 V 3", "H 0 V 90")
    assert (peak(flat, turned).horizontal_deg, peak(flat, turned).vertical_deg) == (5, 3)


def triangle(across: float, up: float) -> IntensityDistribution:
    h, v = np.array([-90, -across, 0, across, 90]), np.array([-90, -up, 0, up, 90])
    return IntensityDistribution("B", h, v, np.outer([0, 0, 1, 0, 0], [0, 0, 1000, 0, 0]))


def test_widths_are_exact_on_the_interpolant() -> None:
    found = beam_angles(triangle(30, 10), default_orientation("B"))
    assert (found.across_deg, found.up_deg) == pytest.approx((30, 10), abs=1e-9)
    found = field_angles(triangle(30, 10), default_orientation("B"))
    assert (found.across_deg, found.up_deg) == pytest.approx((54, 18), abs=1e-9)


def test_a_lamp_rolled_by_a_quarter_swaps_its_widths() -> None:
    rolled = beam_angles(triangle(30, 10), parse_orientation("B", "H 0 V 0", "H 90 V 0"))
    assert (rolled.across_deg, rolled.up_deg) == pytest.approx((10, 30), abs=1e-9)


def test_the_level_is_that_of_the_maximum_and_the_outermost_crossings_count() -> None:
    """A dip on the axis: 40 % there, two lobes at 20 deg that end at 40 deg."""
    lobes = IntensityDistribution("C", [0, 360], [0, 20, 40, 90], [[400, 1000, 0, 0]] * 2)
    assert beam_angles(lobes, default_orientation("C")).across_deg == pytest.approx(60, abs=1e-9)


def test_widths_that_do_not_exist() -> None:
    dark_axis = IntensityDistribution("B", [-90, 90], [-90, -30, -20, -10, 90], [[0, 0, 9, 0, 0]] * 2)
    found = beam_angles(dark_axis, default_orientation("B"))
    assert math.isnan(found.across_deg)
    assert found.up_deg == pytest.approx(10, abs=1e-9)
    bare = IntensityDistribution("C", [0, 360], [0, 180], np.ones((2, 2)))
    assert beam_angles(bare, default_orientation("C")).up_deg == 360
    null = IntensityDistribution("C", [0, 360], [0, 180], np.zeros((2, 2)))
    assert math.isnan(beam_angles(null, default_orientation("C")).up_deg)


AMBER = b"""# basis: measured
point,cd
10D-20L,0.2
10D-V,4
10D-20R,1.5
H-20L,21.7
H-5R,493.5
H-20R,160.2
2.5U-20L,26.4
2.5U-5R,600
2.5U-20R,194.8
10U-20L,4.5
10U-V,91.3
10U-20R,33.6
"""


def backwards() -> IntensityDistribution:
    """Gamma 90 to 180 only: dark ahead, brightest straight behind."""
    gamma = np.arange(90.0, 181.0, 5.0)
    return IntensityDistribution("C", [0, 360], gamma, np.tile(-1000 * np.cos(np.radians(gamma)), (2, 1)).clip(0))


def test_a_width_that_ends_with_the_data_is_marked() -> None:
    """A lamp whose table stops at 20 deg right with 27 % of its peak is wider than its table."""
    table = read_hv_table(AMBER, "amber.csv").distribution
    found = field_angles(table, default_orientation("A"))
    assert found.at_least == ("across", "up")
    assert 30 < found.across_deg <= 40
    assert beam_angles(table, default_orientation("A")).at_least == ()


@pytest.mark.parametrize(("edge_cd", "marked"), [(49.0, False), (51.0, True)])
def test_only_a_level_that_is_exceeded_at_the_end_marks_a_width(edge_cd: float, marked: bool) -> None:
    one = IntensityDistribution("C", [0, 360], [0, 30], [[100, edge_cd]] * 2)
    found = beam_angles(one, default_orientation("C"))
    assert (found.at_least == ("across", "up")) is marked
    assert found.across_deg == pytest.approx(60 if marked else 2 * 30 * 50 / 51, abs=1e-5)


def test_data_that_go_on_at_their_planes_ends_are_not_marked() -> None:
    """Planes 0 and 360 of type C meet; both poles of type C are no end."""
    bare = IntensityDistribution("C", [0, 360], [0, 180], np.ones((2, 2)))
    assert beam_angles(bare, default_orientation("C")) == Widths(360, 360)


def test_light_behind_a_dark_axis_is_no_beam_angle() -> None:
    for found in (
        beam_angles(backwards(), default_orientation("C")),
        field_angles(backwards(), default_orientation("C")),
    ):
        assert math.isnan(found.across_deg) and math.isnan(found.up_deg)
        assert found.behind == ("across", "up") and found.at_least == ()


def test_a_lamp_mounted_by_its_back_has_its_beam_angle() -> None:
    turned = beam_angles(backwards(), parse_orientation("C", "gamma 180", "C 90"))
    assert (turned.across_deg, turned.up_deg) == pytest.approx((120, 120), abs=0.1)


@pytest.mark.parametrize("orientation", [default_orientation("C"), parse_orientation("C", "C 0 gamma 90", "gamma 180")])
def test_the_angle_through_the_peak_follows_the_peak(orientation: Orientation) -> None:
    found = beam_angles_through_peak(backwards(), orientation)
    assert (found.across_deg, found.up_deg) == pytest.approx((120, 120), abs=0.1)


def test_the_angle_through_an_off_axis_peak() -> None:
    """A triangle of 30 x 10 deg moved up to V 15: the planes through its peak are V = 15 and H = 0 of type B."""
    h, v = np.array([-90, -30, 0, 30, 90]), np.array([-90, 5, 15, 25, 90])
    one = IntensityDistribution("B", h, v, np.outer([0, 0, 1, 0, 0], [0, 0, 1000, 0, 0]))
    assert math.isnan(beam_angles(one, default_orientation("B")).across_deg)
    found = beam_angles_through_peak(one, default_orientation("B"))
    assert (found.across_deg, found.up_deg) == pytest.approx((30, 10), abs=1e-6)
    centred = beam_angles_through_peak(triangle(30, 10), default_orientation("B"))
    assert (centred.across_deg, centred.up_deg) == pytest.approx((30, 10), abs=1e-9)


def slow_span(lit: list[bool]) -> tuple[int, int] | None:
    """By the rule in words: every lit run around a circle of directions, looked at one by one."""
    n = len(lit)
    if all(lit):
        return -n // 2, n // 2
    ends = []
    for start in range(-n // 2, n // 2):
        if lit[(start + n // 2) % n] and not lit[(start - 1 + n // 2) % n]:
            end = start
            while lit[(end + 1 + n // 2) % n]:
                end += 1
            for turn in (0, -n):
                a, b = start + turn, end + turn
                holds_back = a <= -n // 2 <= b or a <= n // 2 <= b
                in_front = a < n / 4 and b > -n / 4
                if (a <= 0 <= b) or (in_front and not holds_back):
                    ends.append((a, b))
    return (min(a for a, _ in ends), max(b for _, b in ends)) if ends else None


@settings(max_examples=300, deadline=None)
@given(lit=st.lists(st.booleans(), min_size=24, max_size=24))
def test_the_outermost_span_against_the_rule_in_words(lit: list[bool]) -> None:
    theta = np.linspace(-180.0, 180.0, 25)

    def reaches(at: np.ndarray) -> np.ndarray:
        return np.array(lit)[np.round((at + 180.0) / 15.0).astype(int) % 24]

    found, expected = lit_span(reaches, theta), slow_span(lit)
    assert (found is None) == (expected is None)
    if found is not None and expected is not None:
        wide = 360.0 if all(lit) else (expected[1] - expected[0] + 1) * 15.0
        assert found.width_deg == pytest.approx(wide, abs=1e-6)


@pytest.mark.parametrize("kind", ["A", "B", "C"])
def test_covered_directions_are_those_of_the_table(kind: str) -> None:
    one = lamp(kind, 3)
    h, v = np.meshgrid(np.arange(-360.0, 361.0, 10.0), np.arange(-180.0, 181.0, 10.0))
    inside = (v >= one.vertical_deg[0]) & (v <= one.vertical_deg[-1])
    if kind != "C":
        inside &= (h >= -90) & (h <= 90)
    assert (covers(one, h, v) == inside).all()
    assert not one.candela_at(h, v)[~inside].any()


def cosine() -> IntensityDistribution:
    v = np.linspace(0, 90, 91)
    return IntensityDistribution("C", [0, 360], v, np.tile(1000 * np.cos(np.radians(v)), (2, 1)))


@pytest.mark.parametrize("tilt", [-90, -60, -35, -10, -1e-3, 0, 1e-6, 10, 35, 60, 90])
def test_a_cosine_lamp_sends_half_of_one_plus_sine_upwards(tilt: float) -> None:
    """Analytic: the part of a Lambertian beam above a plane at elevation -tilt is (1 + sin tilt) / 2."""
    share = flux_above_horizontal_lm(cosine(), default_orientation("C"), tilt) / flux_lm(cosine())
    assert share == pytest.approx((1 + math.sin(math.radians(tilt))) / 2, abs=2e-7)


@pytest.mark.parametrize("tilt", [-80, -20, 0, 45])
def test_a_bare_even_lamp_sends_half_upwards(tilt: float) -> None:
    even = IntensityDistribution("C", [0, 360], [0, 180], np.full((2, 2), 10.0))
    assert flux_above_horizontal_lm(even, default_orientation("C"), tilt) == pytest.approx(20 * math.pi, rel=1e-7)


def slow_upward(d: IntensityDistribution, orientation: Orientation, tilt_deg: float, roll_deg: float) -> float:
    """Midpoints of a fine grid of the lamp's own angles, each counted where it points above the horizon."""
    h = np.linspace(d.horizontal_deg[0], d.horizontal_deg[-1], 1201)
    v = np.linspace(d.vertical_deg[0], d.vertical_deg[-1], 1201)
    mh, mv = 0.5 * (h[1:] + h[:-1])[:, None], 0.5 * (v[1:] + v[:-1])[None, :]
    photometric = direction(d.photometric_type, mh, mv)
    lamp = photometric @ np.array(orientation.axes_in_lamp())
    t, r = math.radians(tilt_deg), math.radians(roll_deg)
    up = (
        lamp[..., 0] * math.sin(t) + lamp[..., 1] * math.sin(r) * math.cos(t) + lamp[..., 2] * math.cos(r) * math.cos(t)
    )
    weight = {"C": np.sin(np.radians(mv)), "B": np.cos(np.radians(mh)), "A": np.cos(np.radians(mv))}[d.photometric_type]
    cell = np.radians(h[1] - h[0]) * np.radians(v[1] - v[0])
    return float(np.sum(d.candela_at(mh, mv) * weight * (up > 0)) * cell)


@settings(max_examples=12, deadline=None)
@given(
    kind=st.sampled_from(["A", "B", "C"]),
    seed=st.integers(0, 10_000),
    tilt=st.floats(-90, 90),
    roll=st.floats(-180, 180),
    odd=st.booleans(),
)
def test_upward_flux_against_a_fine_sum(kind: str, seed: int, tilt: float, roll: float, odd: bool) -> None:
    orientation = Orientation((0.3, 0.2, -0.8), (0.1, 1.0, 0.2)) if odd else default_orientation(kind)
    one = lamp(kind, seed)
    slow = slow_upward(one, orientation, tilt, roll)
    assert flux_above_horizontal_lm(one, orientation, tilt, roll) == pytest.approx(slow, abs=1.5e-3 * flux_lm(one))


@settings(max_examples=40, deadline=None)
@given(
    kind=st.sampled_from(["A", "B", "C"]),
    seed=st.integers(0, 10_000),
    tilt=st.floats(-90, 90),
    roll=st.floats(-180, 180),
)
def test_upwards_and_downwards_make_the_whole(kind: str, seed: int, tilt: float, roll: float) -> None:
    """Turned upside down (tilt and roll), what went down goes up."""
    one, usual = lamp(kind, seed), default_orientation(kind)
    both = flux_above_horizontal_lm(one, usual, tilt, roll) + flux_above_horizontal_lm(one, usual, -tilt, roll + 180)
    assert both == pytest.approx(flux_lm(one), rel=1e-4)
