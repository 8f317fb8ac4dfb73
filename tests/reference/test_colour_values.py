"""Chromaticity, colour temperature, S/P ratio and membership of signal colours against published and library values."""

from __future__ import annotations

from collections.abc import Callable

import colour
import numpy as np
import pytest
from numpy.typing import NDArray

from scenelux.colour import (
    Spectrum,
    chromaticity_of,
    correlated_temperature,
    in_region,
    planckian_xy,
    planckian_y,
    regions_of,
    signal_regions,
    sp_ratio_of,
    spectrum_locus,
    spectrum_of,
)
from scenelux.colour.limits import parse_limit
from scenelux.colour.tables import colour_table

Agreement = Callable[..., None]
CIE = "CIE 015:2018, as quoted by the library colour-science 0.4.7"
CALCULATED = "calculated from the printed limits"


def illuminant(name: str) -> Spectrum:
    found = colour.SDS_ILLUMINANTS[name]
    return spectrum_of(found.wavelengths, found.values)


def illuminant_a() -> Spectrum:
    """The formula of CIE illuminant A, to the ends of the observer's table."""
    nm = np.arange(360.0, 831.0)
    over = np.expm1(1.435e7 / (2848.0 * 560.0)) / np.expm1(1.435e7 / (2848.0 * nm))
    return spectrum_of(nm, 100.0 * (560.0 / nm) ** 5 * over)


@pytest.mark.parametrize(("name", "x", "y"), [("A", 0.44758, 0.40745), ("D65", 0.31272, 0.32903), ("E", 1 / 3, 1 / 3)])
def test_chromaticity_of_illuminants(agreement: Agreement, name: str, x: float, y: float) -> None:
    ours = chromaticity_of(illuminant_a() if name == "A" else illuminant(name))
    agreement(f"x of CIE illuminant {name}", x, ours[0], CIE, "quoted", 5e-5)
    agreement(f"y of CIE illuminant {name}", y, ours[1], CIE, "quoted", 5e-5)


@pytest.mark.parametrize("name", ["HP1", "HP2", "HP3", "LED-B1", "LED-B3", "LED-B5", "LED-V1", "LED-V2", "FL2"])
def test_chromaticity_against_the_library(name: str) -> None:
    """The library sums at 5 nm, ours between the 5 nm values: they differ by that."""
    found = colour.SDS_ILLUMINANTS[name]
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(found.shape)
    total = (found.values[:, np.newaxis] * observer.values).sum(axis=0)
    theirs = total[:2] / total.sum()
    assert chromaticity_of(illuminant(name)) == pytest.approx(theirs, abs=5e-4)


def slow_temperature(x: float, y: float) -> float:
    """Least distance over every whole kelvin, written out."""
    u, v = 4 * x / (-2 * x + 12 * y + 3), 6 * y / (-2 * x + 12 * y + 3)
    kelvin = np.arange(1000.0, 20000.0)
    px, py = planckian_xy(kelvin).T
    pu, pv = 4 * px / (-2 * px + 12 * py + 3), 6 * py / (-2 * px + 12 * py + 3)
    return float(kelvin[np.argmin((pu - u) ** 2 + (pv - v) ** 2)])


@pytest.mark.parametrize(
    ("x", "y"), [(0.44758, 0.40745), (0.3127, 0.3290), (0.4559, 0.4079), (0.28, 0.29), (0.36, 0.40), (0.55, 0.40)]
)
def test_temperature_is_the_nearest(x: float, y: float) -> None:
    found = correlated_temperature(x, y)
    assert found.cct_k == pytest.approx(slow_temperature(x, y), abs=1.0)
    u, v = 4 * x / (-2 * x + 12 * y + 3), 6 * y / (-2 * x + 12 * y + 3)
    theirs = colour.temperature.uv_to_CCT([u, v], method="Ohno 2013")
    assert found.cct_k == pytest.approx(theirs[0], rel=2e-3)  # their own formula is an approximation
    assert found.duv == pytest.approx(theirs[1], abs=2e-4)


@pytest.mark.parametrize(
    ("name", "kelvin", "rounding"),
    [("A", 2856, 1), ("D65", 6504, 2), ("LED-B1", 2730, 5), ("LED-B2", 3000, 5), ("LED-B3", 4100, 5),
     ("LED-B4", 5100, 10), ("LED-B5", 6600, 10), ("LED-V1", 2720, 10), ("LED-V2", 4080, 10), ("HP3", 3150, 10),
     ("HP4", 4010, 10), ("HP5", 4050, 10)],
)  # fmt: skip
def test_temperature_of_illuminants(agreement: Agreement, name: str, kelvin: float, rounding: float) -> None:
    spectrum = illuminant_a() if name == "A" else illuminant(name)
    ours = correlated_temperature(*chromaticity_of(spectrum)).cct_k
    agreement(f"colour temperature of {name} [K]", kelvin, ours, CIE, "quoted", rounding)


RATIOS = {row["name"]: row["sp_ratio"] for row in colour_table("sp-ratios")["ratios"]}


@pytest.mark.parametrize("name", RATIOS)
def test_sp_ratio_of_illuminants(agreement: Agreement, name: str) -> None:
    ours = sp_ratio_of(illuminant(name))
    agreement(f"S/P of {name}", RATIOS[name], ours, CIE, "quoted", 1e-3 * RATIOS[name])


def test_the_table_of_ratios_is_the_printed_one() -> None:
    assert RATIOS == {
        "A": 1.412, "HP1": 0.559, "HP2": 1.058, "HP3": 1.361, "HP4": 1.594, "HP5": 1.788, "LED-B1": 1.214,
        "LED-B2": 1.330, "LED-B3": 1.722, "LED-B4": 1.848, "LED-B5": 2.176, "LED-V1": 1.407, "LED-V2": 1.959,
    }  # fmt: skip


def slow_ratio(nm: NDArray[np.float64], power: NDArray[np.float64]) -> float:
    night = day = 0.0
    photopic = colour.colorimetry.SDS_LEFS_PHOTOPIC["CIE 1924 Photopic Standard Observer"]
    scotopic = colour.colorimetry.SDS_LEFS_SCOTOPIC["CIE 1951 Scotopic Standard Observer"]
    for at, part in zip(nm, power, strict=True):
        day += part * photopic[at]
        night += part * scotopic[at]
    return 1700.06 * night / (683.0 * day)


def test_sp_ratio_is_the_stated_sum() -> None:
    nm = np.arange(380.0, 781.0)
    power = np.exp(-(((nm - 590.0) / 9.0) ** 2))
    assert sp_ratio_of(spectrum_of(nm, power)) == pytest.approx(slow_ratio(nm, power), rel=1e-6)


@pytest.mark.parametrize(
    ("x", "y", "colours"),
    [
        (0.570, 0.425, {"amber"}),
        (0.585, 0.405, {"amber"}),
        (0.3127, 0.3290, {"white"}),
        (0.2807, 0.2884, set()),
        (0.695, 0.300, {"red"}),
        (0.490, 0.390, {"white"}),  # an AND of both lower limits rejects it
        (0.1241, 0.0578, {"blue"}),  # 470 nm: outside the chord between the corners on the locus
    ],
)
def test_membership_of_sae_j578(agreement: Agreement, x: float, y: float, colours: set[str]) -> None:
    shipped = [region for region in signal_regions() if region.id in BY_LIMITS]
    assert {region.colour for region in shipped if in_region(x, y, region)} == colours
    for region in shipped:
        what = f"({x:g}, {y:g}) in {region.colour} of SAE J578"
        agreement(what, float(region.colour in colours), float(in_region(x, y, region)), CALCULATED, "calculated", 0.0)


BY_LIMITS = ("j578_red", "j578_amber", "j578_white", "j578_blue")


def literal_j578(name: str, x: float, y: float) -> bool:
    """The half-planes written out once more."""
    return {
        "j578_red": y <= 0.335 and y >= 0.980 - x,
        "j578_amber": y <= x - 0.120 and y >= 0.390 and y >= 0.790 - 0.670 * x,
        "j578_white": 0.310 <= x <= 0.500 and y <= 0.150 + 0.640 * x and y <= 0.440
        and (y >= 0.050 + 0.750 * x or y >= 0.382),
        "j578_blue": y <= 0.280 and (x <= 0.160 or x <= 0.400 - y) and x <= 0.133 + 0.600 * y,
    }[name]  # fmt: skip


def near_the_edge(name: str, x: float, y: float, reach: float) -> bool:
    """Whether the half-planes answer otherwise somewhere within reach."""
    around = [(x + reach * np.cos(a), y + reach * np.sin(a)) for a in np.linspace(0, 2 * np.pi, 33)]
    return len({literal_j578(name, *point) for point in around}) > 1


@pytest.mark.parametrize("name", BY_LIMITS)
def test_corners_and_half_planes_of_sae_j578_agree(name: str) -> None:
    """Over the whole diagram, but for points as near to an edge as the corners' rounding: 0.0015."""
    region = next(region for region in signal_regions() if region.id == name)
    wrong = [point for point in REAL if in_region(*point, region) != literal_j578(name, *point)]
    assert not [point for point in wrong if not near_the_edge(name, *point, 0.0015)]
    assert sum(literal_j578(name, *point) for point in REAL) > 3


def _real(x: float, y: float) -> bool:
    """Well inside the locus, by the winding of its outline."""
    around = spectrum_locus() - np.array([x, y])
    angle = np.arctan2(around[:, 1], around[:, 0])
    turns = np.angle(np.exp(1j * np.diff(np.append(angle, angle[0])))).sum() / (2 * np.pi)
    return bool(abs(round(turns)) == 1 and np.hypot(*around.T).min() > 0.003)


REAL = [(x, y) for x in np.arange(0.0011, 0.75, 0.008) for y in np.arange(0.0012, 0.85, 0.008) if _real(x, y)]


@pytest.mark.parametrize("region", [r for r in signal_regions() if r.corners], ids=lambda region: region.id)
def test_polygons_hold_what_their_outline_goes_round(region: object) -> None:
    for point in REAL:
        around = region.outline - np.array(point)
        angle = np.arctan2(around[:, 1], around[:, 0])
        turns = np.angle(np.exp(1j * np.diff(np.append(angle, angle[0])))).sum() / (2 * np.pi)
        assert in_region(*point, region) == (abs(round(turns)) == 1)


@pytest.mark.parametrize("name", BY_LIMITS)
def test_recalled_half_planes_are_those_of_the_literal_test(name: str) -> None:
    row = next(row for row in colour_table("signal-colours")["regions"] if row["id"] == name)
    limits = [parse_limit(text) for text in row["recalled_limits"]]
    for x in np.arange(0.0053, 0.75, 0.01):
        for y in np.arange(0.0057, 0.85, 0.01):
            assert all(limit.holds({"x": x, "y": y}) for limit in limits) == literal_j578(name, x, y)


def literal_limits(name: str, x: float, y: float) -> bool:
    """Regions that documents print as limits, written out once more."""
    z, planck = 1.0 - x - y, float(planckian_y(x))
    return {
        "aviation_red": y <= 0.335 and z <= 0.002,
        "aviation_green": x <= 0.440 - 0.320 * y and x <= y - 0.170 and y >= 0.390 - 0.170 * x,
        "aviation_white": 0.300 <= x <= 0.540 and (y >= x - 0.040 or y >= planck - 0.010) and y <= x + 0.020
        and y <= 0.636 - 0.400 * x,
        "cie_road_signal_red": 0.290 <= y <= 0.320 and y >= 0.980 - x,
        "cie_road_signal_yellow": y >= 0.382 and y >= 0.790 - 0.667 * x and y <= x - 0.120,
        "french_order_amber": 0.398 <= y <= 0.429 and z <= 0.007,
        "j578_blue_before_2020": y <= 0.320 and (x <= 0.160 or x <= 0.400 - y) and x <= 0.133 + 0.600 * y,
        "r65_blue": y <= 0.065 + 0.805 * x and y <= 0.400 - x and x <= 0.133 + 0.600 * y,
        "selective_yellow": y >= 0.138 + 0.580 * x and y <= 1.290 * x - 0.100 and 0.966 - x <= y <= 0.992 - x,
    }[name]  # fmt: skip


@pytest.mark.parametrize("region", [r for r in signal_regions() if r.limits], ids=lambda region: region.id)
def test_regions_are_their_printed_limits(region: object) -> None:
    ours = [point for point in REAL if in_region(*point, region)]
    assert ours == [point for point in REAL if literal_limits(region.id, *point)]
    assert ours or region.id in ("aviation_red", "french_order_amber")  # thin strips along the locus


@pytest.mark.parametrize("region", [r for r in signal_regions() if r.corners], ids=lambda region: region.id)
def test_corners_belong_to_their_region(region: object) -> None:
    """And no outline crosses itself, which the printed order of the red corners of COLREG would."""
    for corner in region.corners:
        assert in_region(*corner, region) or not _within(corner)
    outline = region.outline
    count = len(outline)
    for first in range(count):
        for second in range(first + 2, count - (first == 0)):
            ends = (*_edge(outline, first), *_edge(outline, second))
            assert not _cross(*ends), (region.id, first, second)


def _within(corner: tuple[float, float]) -> bool:
    """Whether a corner lies inside the locus, to its last printed digit."""
    return bool(_real(*corner) or np.hypot(*(spectrum_locus() - np.array(corner)).T).min() <= 0.001)


def _edge(outline: NDArray[np.float64], at: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    return outline[at], outline[(at + 1) % len(outline)]


def _cross(a: object, b: object, c: object, d: object) -> bool:
    def side(p: object, q: object, r: object) -> float:
        return float((q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]))

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


@pytest.mark.parametrize(
    ("nm", "region", "inside"),
    [(470, "j578_blue", True), (505, "colreg_green", True), (590, "colreg_yellow", True), (590, "j578_amber", True),
     (620, "j578_red", True), (640, "colreg_red", True), (560, "j578_amber", False), (500, "j578_blue", False)],
)  # fmt: skip
def test_spectral_lights_belong_to_the_regions_on_the_locus(nm: int, region: str, inside: bool) -> None:
    point = spectrum_locus()[nm - 380]
    assert (region in [found.id for found in regions_of(*point)]) == inside


def test_every_region_has_an_address() -> None:
    for region in signal_regions():
        assert region.source.title and region.source.clause and bool(region.corners) != bool(region.limits)
    unconfirmed = {region.id for region in signal_regions() if region.source.status == "unconfirmed"}
    assert unconfirmed == {"j578_blue_before_2020", "r65_blue"}
