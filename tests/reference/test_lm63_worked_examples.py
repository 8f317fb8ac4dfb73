"""Photometry against worked examples: LM-63 files, coordinate systems, zonal constants, cosine-power beams.

All figures are calculated from the stated formulas, most of them outside this project; the direction vectors and the
meaning of the angles are those of ANSI/IESNA LM-63-2002, clause 3, and of the C, A and B planes of CIE.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from scenelux.photometry import (
    CosinePower,
    IntensityDistribution,
    angles,
    beam_angles,
    beam_candela,
    cosine_power_exponent,
    default_orientation,
    direction,
    field_angles,
    flux_lm,
    peak,
    read_lm63,
    sample,
)

Agreement = Callable[..., None]
LM63 = "calculated from ANSI/IESNA LM-63-2002, clauses 3 and 5"
FORMULA = "calculated from the stated formula"
HEAD = b"IESNA:LM-63-2002\n[TEST] t\n[TESTLAB] l\n[ISSUEDATE] d\n[MANUFAC] m\nTILT=NONE\n"
FIRST = HEAD + b"2 -1 1.2 3 1 1 2 -0.08 -0.08 0\n0.9 1 24\n0 40 90\n0\n500 350 0\n"
SECOND = HEAD + b"1 -1 1 3 3 %d 2 0 0 0\n1 1 24\n-90 0 90\n-90 0 90\n0 0 0\n0 1000 0\n0 0 0\n"


def test_first_example_rotational(agreement: Agreement) -> None:
    file = read_lm63(FIRST)
    lamp = file.distribution
    agreement("flux, 3 angles, factors 1.2 and 0.9 [lm]", 1483.55, flux_lm(lamp), LM63, "calculated", 0.005)
    agreement("intensity at 20 deg [cd]", 459, float(lamp.candela_at(0, 20)), LM63, "calculated", 1e-9)
    agreement("intensity at 65 deg [cd]", 189, float(lamp.candela_at(123, 65)), LM63, "calculated", 1e-9)
    assert float(lamp.candela_at(0, 90.01)) == 0
    assert file.factor == pytest.approx(1.08) and file.absolute and file.opening.size_m == (0.08, 0.08, 0)
    assert file.opening.shape == "ellipse" and [one.code for one in file.warnings] == [43]


def test_first_example_is_where_other_rules_fail() -> None:
    """The zonal rule gives 1584.4 lm and the trapezoid of I sin V 1199.0 lm: this grid tells an exact sum from both."""
    lamp = read_lm63(FIRST).distribution
    i, v = lamp.candela[0], np.radians(lamp.vertical_deg)
    zonal = 2 * math.pi * float(np.sum(0.5 * (i[1:] + i[:-1]) * (np.cos(v[:-1]) - np.cos(v[1:]))))
    trapezoid = 2 * math.pi * float(np.trapezoid(i * np.sin(v), v))
    assert (round(zonal, 1), round(trapezoid, 1)) == (1584.4, 1199.0)
    assert abs(flux_lm(lamp) - zonal) > 50 and abs(flux_lm(lamp) - trapezoid) > 50


@pytest.mark.parametrize(
    ("code", "kind", "zero", "corner"),
    [
        (2, "B", (0, 0, -1), (0.5, -0.7071, -0.5)),
        (3, "A", (1, 0, 0), (0.5, -0.5, 0.7071)),
    ],
)
def test_second_example_types_a_and_b(
    agreement: Agreement, code: int, kind: str, zero: tuple[float, ...], corner: tuple[float, ...]
) -> None:
    lamp = read_lm63(SECOND % code).distribution
    assert lamp.photometric_type == kind
    agreement(f"flux of a pyramid of 1000 cd, type {kind} [lm]", 2000, flux_lm(lamp), LM63, "calculated", 1e-6)
    top = peak(lamp)
    assert (top.candela, top.horizontal_deg, top.vertical_deg, top.gamma_deg) == (1000, 0, 0, 0)
    assert direction(kind, 0, 0) == pytest.approx(zero, abs=1e-12)
    agreement(
        f"intensity at H 45, V 45, type {kind} [cd]", 250, float(lamp.candela_at(45, 45)), LM63, "calculated", 1e-9
    )
    for axis, expected, ours in zip("xyz", corner, direction(kind, 45, 45).tolist(), strict=True):
        agreement(f"direction of H 45, V 45, type {kind}, {axis}", expected, ours, LM63, "calculated", 5e-5)


def test_second_example_is_where_other_rules_fail() -> None:
    """Mean of the four corners times the exact solid angle of a cell gives 1570.8 lm for both types, not 2000 lm."""
    lamp = read_lm63(SECOND % 2).distribution
    i = lamp.candela
    corners = 0.25 * (i[1:, 1:] + i[1:, :-1] + i[:-1, 1:] + i[:-1, :-1])
    across, along = np.diff(np.sin(np.radians(lamp.horizontal_deg))), np.diff(np.radians(lamp.vertical_deg))
    zonal = float(np.sum(corners * np.outer(across, along)))
    assert round(zonal, 1) == 1570.8
    for code in (2, 3):
        assert abs(flux_lm(read_lm63(SECOND % code).distribution) - zonal) > 400


@pytest.mark.parametrize("code", [1, 2, 3])
def test_flux_is_that_of_the_directions(agreement: Agreement, code: int) -> None:
    """Sum over the whole sphere of the intensity in a direction, by the direction vectors alone, in fixed steps.

    A lamp that is wide in one axis and narrow in the other tells the weight cos H of type B from a wrong cos V.
    """
    rows = b"0 0 0\n40 900 40\n0 0 0\n" if code > 1 else b"900 40 0\n900 60 0\n900 40 0\n"
    angles_text = b"-90 0 90\n-20 0 20\n" if code > 1 else b"0 20 90\n0 90 180\n"
    lamp = read_lm63(HEAD + b"1 -1 1 3 3 %d 2 0 0 0\n1 1 24\n" % code + angles_text + rows).distribution
    z = (np.arange(2000) + 0.5) / 1000 - 1
    turn = (np.arange(1000) + 0.5) * 2 * math.pi / 1000
    rho = np.sqrt(1 - z**2)[:, None]
    way = np.stack(np.broadcast_arrays(rho * np.cos(turn), rho * np.sin(turn), z[:, None]), axis=-1)
    summed = float(lamp.intensity(way).mean()) * 4 * math.pi
    kind = {1: "C", 2: "B", 3: "A"}[code]
    agreement(f"flux by a sum over the sphere, type {kind} [lm]", summed, flux_lm(lamp), FORMULA, "calculated",
              0.001 * summed)  # fmt: skip


def test_factors_of_the_first_edition_all_count_once(agreement: Agreement) -> None:
    """The first example as a file of 1991: its ballast-lamp factor 0.8 scales too, 1483.55 x 0.8 lm."""
    old = FIRST.replace(b"IESNA:LM-63-2002", b"IESNA91").replace(b"0.9 1 24", b"0.9 0.8 24")
    agreement("flux with a ballast-lamp factor of 0.8 [lm]", 1186.84, flux_lm(read_lm63(old).distribution),
              "calculated from field 12 of the editions of 1986 and 1991, as described by implementers", "calculated",
              0.005)  # fmt: skip
    later = read_lm63(FIRST.replace(b"0.9 1 24", b"0.9 0.8 24"))
    assert flux_lm(later.distribution) == pytest.approx(1483.55, abs=0.005) and 12 in {
        one.code for one in later.warnings
    }


@pytest.mark.parametrize(
    ("tilt_deg", "factor"), [(0, 1.0), (7.5, 0.975), (20, 0.95 - 0.02 / 3), (30, 0.93), (90, 0.9), (110, 0.91)], ids=str
)
def test_tilt_factors_between_the_angles(agreement: Agreement, tilt_deg: float, factor: float) -> None:
    """0, 15, 30, 90 deg with 1, 0.95, 0.93, 0.9: a straight line between; a table that ends at 90 deg is folded."""
    table = b"TILT=INCLUDE\n1\n4\n0 15 30 90\n1.0 .95 .93 .9\n"
    file = read_lm63(FIRST.replace(b"TILT=NONE\n", table))
    assert file.tilt is not None
    ours = file.tilt.factor_at(tilt_deg)
    agreement(f"tilt factor at {tilt_deg} deg", factor, ours, FORMULA, "calculated", 1e-12)
    assert flux_lm(file.distribution) == pytest.approx(1483.55, abs=0.005)  # the table is kept, not applied


ZONES = [
    ((0, 10), 0.0955),
    ((10, 20), 0.2835),
    ((30, 40), 0.6282),
    ((40, 50), 0.7744),
    ((60, 70), 0.9926),
    ((70, 80), 1.0579),
    ((0, 5), 0.0239),
    ((5, 10), 0.0715),
    ((15, 20), 0.1648),
    ((20, 25), 0.2098),
    ((30, 35), 0.2945),
    ((35, 40), 0.3337),
    ((45, 50), 0.4041),
    ((50, 55), 0.4349),
    ((60, 65), 0.4862),
    ((65, 70), 0.5064),
    ((75, 80), 0.5351),
    ((80, 85), 0.5434),
]


@pytest.mark.parametrize(("zone", "constant"), ZONES, ids=str)
def test_zonal_constants(agreement: Agreement, zone: tuple[float, float], constant: float) -> None:
    """An even lamp that shines into one zone only has the zone's constant as its flux."""
    lamp = IntensityDistribution("C", [0, 360], zone, np.ones((2, 2)))
    agreement(f"zonal constant {zone[0]} to {zone[1]} deg [sr]", constant, flux_lm(lamp), FORMULA, "calculated", 5e-5)


BEAMS = [
    (10, 181.81, 29095, 18.20),
    (20, 45.278, 7365.3, 36.24),
    (25, 28.894, 4757.8, 45.14),
    (40, 11.143, 1932.7, 71.16),
    (60, 4.8188, 926.10, 103.35),
    (90, 2.0, 477.46, 143.13),
    (120, 1.0, 318.31, 168.52),
]


@pytest.mark.parametrize(("width", "exponent", "peak_cd", "field"), BEAMS, ids=[f"{row[0]} deg" for row in BEAMS])
def test_cosine_power_beams(agreement: Agreement, width: float, exponent: float, peak_cd: float, field: float) -> None:
    def half_unit(printed: float) -> float:  # of the last printed digit, five significant figures
        return 0.5 * 10 ** (math.floor(math.log10(printed)) - 4)

    n = cosine_power_exponent(width)
    agreement(f"exponent of the {width} deg beam", exponent, n, FORMULA, "calculated", half_unit(exponent) * 1.001)
    ours = float(beam_candela(CosinePower(1000, width), (1, 0, 0)))
    agreement(
        f"peak of the {width} deg beam [cd per klm]", peak_cd, ours, FORMULA, "calculated", half_unit(peak_cd) * 1.001
    )
    table, usual = sample(CosinePower(1000, width)), default_orientation("C")
    assert beam_angles(table, usual).across_deg == pytest.approx(width, abs=1e-6)
    assert field_angles(table, usual).across_deg == pytest.approx(field, abs=0.1)
    exact = 2 * math.degrees(math.acos(0.1 ** (1 / n)))
    agreement(f"field angle of the {width} deg beam [deg]", field, exact, FORMULA, "calculated", 0.005)


@pytest.mark.parametrize(
    ("c", "gamma", "b", "beta", "a", "alpha"),
    [(30, 40, 36.0052, 18.7472, 22.7605, 33.8258), (0, 60, 60, 0, None, None), (90, 45, 0, 45, None, None)],
)
def test_c_planes_to_b_and_a_planes(
    agreement: Agreement, c: float, gamma: float, b: float, beta: float, a: float | None, alpha: float | None
) -> None:
    """CIE B planes: B = atan2(vx, -vz), beta = asin vy, of opposite sign to H of LM-63; CIE A planes with x for y."""
    v = direction("C", c, gamma)
    h_lm63, v_lm63 = (float(angle) for angle in angles("B", v))
    source = "calculated from tan B = cos C tan gamma, sin beta = sin C sin gamma"
    agreement(f"C {c}, gamma {gamma}: plane B [deg]", b, v_lm63, source, "calculated", 5e-5)
    agreement(f"C {c}, gamma {gamma}: beta [deg]", beta, -h_lm63, source, "calculated", 5e-5)
    if a is not None and alpha is not None:  # the A planes are the B planes of the frame turned by 90 deg about z
        turned = (v[1], -v[0], v[2])
        h_turned, v_turned = (float(angle) for angle in angles("B", turned))
        agreement(f"C {c}, gamma {gamma}: plane A [deg]", a, v_turned, source, "calculated", 5e-5)
        agreement(f"C {c}, gamma {gamma}: alpha [deg]", alpha, h_turned, source, "calculated", 5e-5)


def test_two_ways_to_count_right_and_up(agreement: Agreement) -> None:
    """V 10 then H 20 of the one way is V 10.6276, H 19.6835 of the other, 22.2687 deg off axis.

    Types A and B of LM-63 are these two ways: A turns about the vertical first, B about the horizontal.
    """
    usual_a, usual_b = (
        np.array(default_orientation("A").axes_in_lamp()),
        np.array(default_orientation("B").axes_in_lamp()),
    )
    on_lamp = direction("A", 20, 10) @ usual_a
    h, v = (float(angle) for angle in angles("B", on_lamp @ usual_b.T))
    agreement("type A (V 10, H 20) as type B: V [deg]", 10.6276, v, FORMULA, "calculated", 5e-5)
    agreement("type A (V 10, H 20) as type B: H [deg]", 19.6835, h, FORMULA, "calculated", 5e-5)
    off = math.degrees(math.acos(on_lamp[0]))
    agreement("type A (V 10, H 20): off axis [deg]", 22.2687, off, FORMULA, "calculated", 5e-5)
