"""No light is lost or won: what falls on a closed surface round a lamp, or on a wide floor, is what the lamp sends."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from scenelux.engine import Blockers, illuminance
from tests.analytic_lamps import AnalyticTable, beam_axes, cosine_power, one_lamp

pytestmark = pytest.mark.usefixtures("precision")

Floats = NDArray[np.float64]

few = settings(max_examples=10, deadline=None, derandomize=True, database=None)


def sphere(rings: int, around: int, least_cosine: float = -1.0) -> tuple[Floats, Floats]:
    """Directions and their shares of the solid angle [sr]: Gauss nodes in the cosine, even steps around."""
    nodes, weights = np.polynomial.legendre.leggauss(rings)
    cosine = least_cosine + (nodes + 1) / 2 * (1 - least_cosine)
    angle = (np.arange(around) + 0.5) / around * 2 * np.pi
    sine = np.sqrt(1 - cosine**2)
    x, y = np.outer(sine, np.cos(angle)), np.outer(sine, np.sin(angle))
    share = np.outer(weights / 2 * (1 - least_cosine), np.full(around, 2 * np.pi / around))
    return np.c_[x.ravel(), y.ravel(), np.repeat(cosine, around)], share.ravel()


@few
@given(
    power=st.floats(1, 20), heading=st.floats(-180, 180), tilt=st.floats(-90, 90),
    aside=st.floats(0, 0.6), opening=st.sampled_from([0.0, 0.3]),
)  # fmt: skip
def test_sphere_round_a_lamp_that_is_not_at_its_centre(
    power: float, heading: float, tilt: float, aside: float, opening: float
) -> None:
    """The sum of E dA over the inside is the flux 2 pi I0 / (n + 1), wherever in the sphere the lamp stands."""
    place = aside * np.asarray(beam_axes(heading + 70, tilt / 2)[2])
    lamp = one_lamp(
        cosine_power(1000, power), place, beam_axes(heading, tilt), opening_m=(opening, opening), is_round=True
    )
    directions, share = sphere(120, 240)
    lux = illuminance(lamp, Blockers.none(), 2.0 * directions, -directions)[0]
    assert (lux * share).sum() * 4.0 == pytest.approx(2 * np.pi * 1000 / (power + 1), rel=2e-3)


def test_sphere_round_a_lopsided_lamp() -> None:
    """A beam that differs in every direction: flux by a fine sum over the table's own formula."""
    azimuth, polar = np.linspace(0, 360, 181), np.linspace(0, 180, 181)
    swing = 2 + np.cos(np.radians(azimuth))[:, None] * np.sin(np.radians(polar)) + np.cos(np.radians(2 * polar))
    lamp = one_lamp(AnalyticTable(azimuth, polar, 100 * swing), [0.3, -0.2, 0.4], beam_axes(33, 12, 50))
    directions, share = sphere(100, 200)
    lux = illuminance(lamp, Blockers.none(), directions, -directions)[0]
    # The mean of the swing over the sphere: 2 + 0 + (2 / 3 - 1).
    assert (lux * share).sum() == pytest.approx(4 * np.pi * 100 * (2 - 1 / 3), rel=1e-3)


@few
@given(power=st.floats(2, 20), tilt=st.floats(-90, 10))
def test_wide_floor(power: float, tilt: float) -> None:
    """Up to 89.9 deg from the foot of the lamp the floor gets what the lamp sends into that cone."""
    lamp = one_lamp(cosine_power(1000, power), [0, 0, 2.4], beam_axes(0, tilt))
    down, share = sphere(200, 180, np.cos(np.radians(89.9)))
    reach = 2.4 / down[:, 2]
    points = np.c_[down[:, :2] * reach[:, None], np.zeros(len(down))]
    # A patch that fills a solid angle w at the lamp has the area w d^2 / cos(eps).
    area = share * reach**2 / down[:, 2]
    lux = illuminance(lamp, Blockers.none(), points, (0, 0, 1))[0]
    beam = np.asarray(beam_axes(0, tilt)[2])
    sent = 1000 * ((down * [1, 1, -1]) @ beam).clip(0) ** power
    assert (lux * area).sum() == pytest.approx((sent * share).sum(), rel=1e-3, abs=0.01)
    if tilt == -90:
        assert (lux * area).sum() == pytest.approx(2 * np.pi * 1000 / (power + 1), rel=1e-3)


def test_floor_under_a_lamp_straight_down_gets_all_its_flux() -> None:
    lamp = one_lamp(cosine_power(926.10, 4.8188), [0, 0, 2.4], beam_axes(0, -90))
    rings = np.tan(np.radians(np.linspace(0, 89, 2001))) * 2.4
    middle = 0.5 * (rings[1:] + rings[:-1])
    lux = illuminance(lamp, Blockers.none(), np.c_[middle, 0 * middle, 0 * middle], (0, 0, 1))[0]
    assert (lux * np.pi * (rings[1:] ** 2 - rings[:-1] ** 2)).sum() == pytest.approx(1000, rel=1e-3)


def test_a_box_keeps_what_the_floor_behind_it_misses() -> None:
    """Light on the floor without a box is light on the floor with it plus light on its faces."""
    lamp = one_lamp(cosine_power(1000, 1), [0, 0, 3], beam_axes(0, -90))
    box = Blockers.boxes([[0.6, 0.2, 0.5]], [[0.4, 0.3, 0.5]])
    steps = (np.arange(800) + 0.5) / 800
    x, y = np.meshgrid(-1 + 4 * steps, -2 + 4 * steps)
    floor = np.c_[x.ravel(), y.ravel(), np.zeros(x.size)]
    free, left = (illuminance(lamp, some, floor, (0, 0, 1)).sum() * 16 / 800**2 for some in (Blockers.none(), box))
    on_box = 0.0
    for axis, side in ((2, 1), (0, -1), (0, 1), (1, -1), (1, 1)):
        u, v = np.meshgrid(2 * steps[::8] - 0.99875, 2 * steps[::8] - 0.99875)
        local = np.zeros((u.size, 3))
        local[:, axis], local[:, axis - 1], local[:, axis - 2] = side, u.ravel(), v.ravel()
        normal = np.zeros(3)
        normal[axis] = side
        area = 4 * box.half_m[0].prod() / box.half_m[0, axis] / u.size
        on_box += illuminance(lamp, box, box.centre_m + local * box.half_m, normal).sum() * area
    assert on_box > 50
    assert free - left == pytest.approx(on_box, rel=5e-3)
