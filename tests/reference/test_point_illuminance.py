"""Receivers, openings and view factors, computed by the engine and compared with closed forms."""

from __future__ import annotations

from collections.abc import Callable
from math import atan, cos, pi, sin

import numpy as np
import pytest

from scenelux.engine import Blockers, Lamps, Plane, illuminance
from scenelux.photometry import CosinePower, beam_candela, cosine_power_exponent
from tests.analytic_lamps import AnalyticTable, beam_axes, cosine_power, isotropic, one_lamp
from tests.reference import view_factors

pytestmark = pytest.mark.usefixtures("precision")

Agreement = Callable[..., None]

FOOT_M = 0.3048
FORMULA = "calculated from the stated formula"
EVERYWHERE = 1.0 / pi  # candela per metre squared that make one lux over a full hemisphere of view


def lux(lamps: Lamps, point: object, normal: object, plane: Plane = Plane.PLANE) -> float:
    return float(illuminance(lamps, Blockers.none(), [point], normal, plane).sum())


def test_a_semi_cylinder_facing_away_gets_nothing() -> None:
    lamps = one_lamp(isotropic(1000.0), [0, 0, 3])
    assert lux(lamps, [4, 0, 0], (1, 0, 0), Plane.SEMI_CYLINDRICAL) == pytest.approx(0.0, abs=1e-12)
    assert lux(lamps, [4, 0, 0], (1, 0, 0)) == 0.0


# Openings: the point formula against the extended source.


def lambertian(area_m2: float, luminance_cd_m2: float = EVERYWHERE) -> AnalyticTable:
    return cosine_power(area_m2 * luminance_cd_m2, 1.0, 0.05)


DOWN = beam_axes(0, -90)
EXCESS = [
    ("disk", 1, 25.000), ("disk", 3, 2.778), ("disk", 5, 1.000),
    ("square", 1, 32.930), ("square", 3, 3.697), ("square", 5, 1.332),
    ("long strip", 1, 15.788), ("long strip", 3, 1.840), ("long strip", 5, 0.665),
    ("4:1 rectangle", 1, 16.912), ("4:1 rectangle", 3, 1.957), ("4:1 rectangle", 5, 0.707),
]  # fmt: skip


def outline(shape: str) -> tuple[float, float, float]:
    """Length, width and area (for the strip its length) of an opening whose larger side is 1 m."""
    return {
        "disk": (1.0, 1.0, pi / 4),
        "square": (1.0, 1.0, 1.0),
        "long strip": (1.0, 0.0, 1.0),
        "4:1 rectangle": (1.0, 0.25, 0.25),
    }[shape]


def exact_on_axis(shape: str, distance: float) -> float:
    """Illuminance opposite the centre of a diffuse source with 1 cd per m2 (per m for the strip)."""
    length, width, _ = outline(shape)
    if shape == "disk":
        return pi * view_factors.disk(0.5, distance)
    if shape == "long strip":
        alpha = atan(0.5 / distance)
        return (alpha + sin(alpha) * cos(alpha)) / distance
    return pi * view_factors.centre_parallel(length, width, distance)


@pytest.mark.parametrize(("shape", "distance", "published"), EXCESS)
def test_point_formula_over_extended_source(agreement: Agreement, shape: str, distance: int, published: float) -> None:
    length, width, area = outline(shape)
    exact = exact_on_axis(shape, distance)
    as_point = lux(one_lamp(lambertian(area, 1.0), [0, 0, distance], DOWN), [0, 0, 0], (0, 0, 1))
    name = f"{shape}, d/D {distance}: point formula over exact [%]"
    agreement(name, published, 100 * (as_point / exact - 1), FORMULA, "calculated", 5.1e-4)
    split = one_lamp(lambertian(area, 1.0), [0, 0, distance], DOWN, opening_m=(length, width), is_round=shape == "disk")
    ours = lux(split, [0, 0, 0], (0, 0, 1))
    agreement(f"{shape}, d/D {distance}: opening by its parts [lx]", exact, ours, FORMULA, "calculated", 0.01 * exact)


def pairs(count: int) -> np.ndarray:
    """Two Gauss nodes in each of count equal parts of 0..1: all of the same weight."""
    middles = (np.arange(count) + 0.5) / count
    return np.sort(np.r_[middles - 0.5 / count / 3**0.5, middles + 0.5 / count / 3**0.5])


def tiled(length: float, width: float, luminance: float, count: int) -> tuple[AnalyticTable, np.ndarray]:
    """A diffuse rectangle over 0..length, 0..width as 2 count x 2 count point lamps: their table and (n, 2) places."""
    x, y = np.meshgrid(pairs(count) * length, pairs(count) * width)
    return lambertian(length * width / x.size, luminance), np.c_[x.ravel(), y.ravel()]


def of_tiles(table: AnalyticTable, places: np.ndarray, axes: object) -> Lamps:
    count = len(places)
    return Lamps.from_tables(
        [table], table=np.zeros(count, int), position_m=places, axes=np.tile(np.asarray(axes), (count, 1, 1))
    )


def corner_lux(luminance: float) -> float:
    """Below a corner of a square of 1 m, 1 m up, as 80 x 80 point lamps."""
    table, places = tiled(1, 1, luminance, 40)
    return lux(of_tiles(table, np.c_[places, np.ones(len(places))], DOWN), [0, 0, 0], (0, 0, 1))


def test_view_factors_through_the_engine(agreement: Agreement) -> None:
    exact = view_factors.corner_parallel(1, 1, 1)
    ours = corner_lux(EVERYWHERE)
    agreement("F(1, 1, 1) parallel, 80 x 80 lamps", exact, ours, FORMULA, "calculated", 5e-7)
    whole = one_lamp(lambertian(1.0, EVERYWHERE), [0.5, 0.5, 1], DOWN, opening_m=(1.0, 1.0))
    ours = lux(whole, [0, 0, 0], (0, 0, 1))
    agreement("F(1, 1, 1) parallel, one opening", exact, ours, FORMULA, "calculated", 2e-4)


def test_strip_facing_a_perpendicular_rectangle(agreement: Agreement) -> None:
    """Mean over a strip along the foot of a 1 x 2 rectangle, 0.5 away from it."""
    nodes, weights = np.polynomial.legendre.leggauss(24)
    along = nodes + 1.0  # from 0 to 2
    closed = [
        view_factors.corner_perpendicular(1, t, 0.5) + view_factors.corner_perpendicular(1, 2 - t, 0.5) for t in along
    ]
    source = "Heat-transfer function library, strip to perpendicular rectangle (fchartsoftware.com hs303)"
    agreement("mean F, closed form", 0.2153, float(weights @ closed / 2), source, "published", 5e-5)
    # The rectangle stands at forward 0, 1 m high and 2 m wide, and shines forward; the strip looks up.
    strip = np.c_[np.full(24, 0.5), nodes, np.zeros(24)]
    table, places = tiled(2, 1, EVERYWHERE, 40)
    tiles = of_tiles(table, np.c_[np.zeros(len(places)), places[:, 0] - 1.0, places[:, 1]], beam_axes(0, 0))
    mean = float(illuminance(tiles, Blockers.none(), strip, (0, 0, 1)).sum(axis=0) @ weights / 2)
    agreement("mean F, 80 x 80 lamps", 0.2153, mean, source, "published", 5e-5)
    whole = one_lamp(lambertian(2.0), [0, 0, 0.5], beam_axes(0, 0), opening_m=(2.0, 1.0))
    mean = float(illuminance(whole, Blockers.none(), strip, (0, 0, 1))[0] @ weights / 2)
    agreement("mean F, one opening", 0.2153, mean, source, "published", 0.0005)


def test_strip_opposite_one_end(agreement: Agreement) -> None:
    for distance in (0.2, 1.0, 4.0):
        alpha = atan(1.0 / distance)
        exact = (alpha + sin(alpha) * cos(alpha)) / (2 * distance)
        # Looking along the beam, x points to the right: the strip lies across.
        along_y = one_lamp(lambertian(1.0, 1.0), [0, 0.5, distance], DOWN, opening_m=(1.0, 0.0))
        ours = lux(along_y, [0, 0, 0], (0, 0, 1))
        agreement(
            f"strip, 1 cd/m, opposite its end at {distance} m [lx]", exact, ours, FORMULA, "calculated", 0.01 * exact
        )
        assert lux(along_y, [0, 1, 0], (0, 0, 1)) == pytest.approx(ours, rel=1e-12)


@pytest.mark.parametrize("beam_deg", [25, 40, 60, 120])
def test_lumens_of_a_cosine_power_beam(agreement: Agreement, beam_deg: float) -> None:
    """A thousand lumens fall on the inside of a sphere round the lamp, whatever the beam."""
    power = cosine_power_exponent(beam_deg)
    peak = float(beam_candela(CosinePower(1000, beam_deg), (1, 0, 0)))
    nodes, weights = np.polynomial.legendre.leggauss(200)
    polar = 0.25 * pi * (nodes + 1)
    points = np.c_[2 * np.sin(polar), np.zeros(200), 2 * np.cos(polar)]
    lamp = one_lamp(cosine_power(peak, power, 0.1), [0, 0, 0])
    on_sphere = illuminance(lamp, Blockers.none(), points, -points)[0]
    flux = float((on_sphere * np.sin(polar) * weights).sum() * 0.25 * pi * 2 * pi * 4)
    agreement(f"{beam_deg} deg beam: flux on a sphere [lm]", 1000, flux, FORMULA, "calculated", 0.5)


@pytest.mark.parametrize(
    ("tilt", "average", "minimum", "strip_minimum", "average_rounding"),
    [(0.0, 31.4, 0.0, None, 0.05), (-35.0, 263, 84, 24.7, 0.5)],
)
def test_flat_and_tilted_tail_floods(
    agreement: Agreement,
    tilt: float,
    average: float,
    minimum: float,
    strip_minimum: float | None,
    average_rounding: float,
) -> None:
    table = cosine_power(4.2 * 926.10, 4.8188, 1.0)
    pose = beam_axes(180, tilt)
    lamps = Lamps.from_tables([table], table=[0, 0], position_m=[[0, 0.97, 2.36], [0, -0.97, 2.36]], axes=[pose, pose])

    def field(depth_ft: float, half_ft: float, rows: int, columns: int) -> np.ndarray:
        forward = -(np.arange(rows) + 0.5) / rows * depth_ft * FOOT_M
        left = ((np.arange(columns) + 0.5) / columns * 2 - 1) * half_ft * FOOT_M
        grid = np.array([[f, s, 0.0] for f in forward for s in left])
        return illuminance(lamps, Blockers.none(), grid, (0, 0, 1)).sum(axis=0)

    rear = field(10, 5, 7, 7)
    name = f"two 4,200 lm floods, tilt {tilt:g} deg: rear area"
    agreement(f"{name}, average [lx]", average, rear.mean(), FORMULA, "calculated", average_rounding)
    agreement(f"{name}, minimum [lx]", minimum, rear.min(), FORMULA, "calculated", 0.5)
    if strip_minimum is not None:
        strip = field(25, 6, 25, 12)
        agreement("the same: strip, minimum [lx]", strip_minimum, strip.min(), FORMULA, "calculated", 0.05)
