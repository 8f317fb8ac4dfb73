"""The look-up at the ends and corners of tables, the box test at faces and edges, and the receiver factors."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest

from scenelux.engine import Blockers, Lamps, Plane, illuminance, sight
from scenelux.engine.illuminance import Precision
from scenelux.geometry import aim_axes
from tests.analytic_lamps import AnalyticTable, isotropic, one_lamp, rotational


def towards(azimuth_deg: float, polar_deg: float) -> list[float]:
    """A point at 2 m from the origin in that direction of a table that stands upright."""
    a, p = np.radians([azimuth_deg, polar_deg])
    return [2 * np.sin(p) * np.cos(a), 2 * np.sin(p) * np.sin(a), 2 * np.cos(p)]


def seen_cd(lamps: Lamps, *angles: tuple[float, float]) -> list[float]:
    return sight(lamps, Blockers.none(), [towards(*pair) for pair in angles]).candela[0].tolist()


def test_end_angles_belong_to_the_table_and_beyond_it_is_dark() -> None:
    lamp = one_lamp(rotational([10, 60], [100, 700]), [0, 0, 0])
    assert seen_cd(lamp, (0, 10), (123, 60), (50, 35)) == pytest.approx([100, 700, 400], rel=1e-9)
    assert seen_cd(lamp, (0, 10 - 9e-7), (0, 60 + 9e-7)) == pytest.approx([100, 700], rel=1e-9)
    assert seen_cd(lamp, (0, 10 - 2e-6), (0, 60 + 2e-6), (0, 0), (0, 180)) == [0, 0, 0, 0]


def test_bilinear_in_uneven_angles() -> None:
    table = AnalyticTable(np.array([0.0, 5, 90, 360]), np.array([0.0, 7, 100]), np.arange(12.0).reshape(4, 3))
    lamp = one_lamp(table, [0, 0, 0])
    assert seen_cd(lamp, (5, 7), (90, 100))[0] == pytest.approx(4.0, rel=1e-9)
    assert seen_cd(lamp, (2.5, 3.5))[0] == pytest.approx(2.0, rel=1e-9)
    assert seen_cd(lamp, (5 + 85 / 4, 7 + 93 / 2))[0] == pytest.approx(3 + 1.5 + 3 / 4, rel=1e-9)
    assert seen_cd(lamp, (225, 50))[0] == pytest.approx(6 + 1.5 + 1 + 43 / 93, rel=1e-9)


def test_a_window_of_azimuths_from_zero_also_takes_a_hair_below_zero() -> None:
    table = AnalyticTable(np.array([0.0, 180.0]), np.array([0.0, 180.0]), np.full((2, 2), 9.0))
    lamp = one_lamp(table, [0, 0, 0])
    assert seen_cd(lamp, (-5e-7, 90), (180 + 5e-7, 90), (90, 90)) == pytest.approx([9, 9, 9])
    assert seen_cd(lamp, (-5e-6, 90), (180 + 5e-6, 90), (270, 90)) == [0, 0, 0]
    end = one_lamp(AnalyticTable(np.array([180.0, 360.0]), table.polar_deg, table.candela), [0, 0, 0])
    assert seen_cd(end, (0, 90), (5e-7, 90), (200, 90)) == pytest.approx([9, 9, 9])


def test_at_a_pole_a_window_of_azimuths_is_lit() -> None:
    """The pole has no azimuth of its own, so it takes the middle one of the table."""
    table = AnalyticTable(np.array([60.0, 120.0]), np.array([0.0, 180.0]), np.full((2, 2), 9.0))
    assert seen_cd(one_lamp(table, [0, 0, 0]), (0, 0), (0, 180)) == [9, 9]


def test_turned_tables() -> None:
    table = AnalyticTable(np.array([0.0, 90, 180, 270, 360]), np.array([0.0, 90, 180]), np.zeros((5, 3)))
    table.candela[:, 1] = [1, 2, 3, 4, 1]
    axes = ((0.0, 0.0, 1.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))  # table x up, y forward, z left
    seen = sight(one_lamp(table, [0, 0, 0], axes), Blockers.none(), [[0, 0, 1], [1, 0, 0], [0, 0, -1], [-1, 0, 0]])
    assert seen.candela[0].tolist() == [1, 2, 3, 4]


BOX = Blockers.boxes([[0, 0, 0]], [[1, 1, 1]])


def clear(start: list[float], end: list[float], boxes: Blockers = BOX) -> bool:
    return bool(sight(one_lamp(isotropic(1.0), start), boxes, [end]).clear[0, 0])


@pytest.mark.parametrize(
    ("start", "end", "free"),
    [
        ([-3, 0, 0], [3, 0, 0], False),
        ([-3, 0.2, 0.3], [-1.1, 0.2, 0.3], True),  # ends before it
        ([-3, 0, 0], [-1, 0, 0], True),  # ends on its face
        ([-1, 0, 0], [-3, 1, 2], True),  # starts on its face and leaves
        ([-1, 0, 0], [3, 0, 0], False),  # starts on its face and goes through
        ([-1, -0.5, 0], [-1, 0.9, 0.5], True),  # both on one face
        ([-1, 0, 2], [-1, 0, -2], True),  # slides along a face
        ([-1, -1, 5], [-1, -1, -5], True),  # slides along an edge
        ([-2, 0, 0], [0, -2, 0], True),  # touches an edge
        ([-2.1, 0, 0], [0, -1.8, 0], False),  # cuts an edge off
        ([0, 0, 0], [3, 0, 0], False),  # from its inside
        ([0.1, 0, 0], [0.2, 0, 0], False),  # wholly inside
        ([2, 0, 0], [4, 0, 0], True),  # leads away from it
        ([-3, 0, 1.0], [3, 0, 1.0], True),  # along the roof
        ([-3, 0, 1 - 1e-5], [3, 0, 1 - 1e-5], False),  # just below the roof
    ],
)
def test_box(start: list[float], end: list[float], free: bool) -> None:
    assert clear(start, end) == free
    assert clear(end, start) == free


def test_faces_of_turned_boxes_count_as_outside() -> None:
    """A lamp and a point on one face of a box turned any way see each other past it, whatever the rounding."""
    generator = np.random.default_rng(2)
    for _ in range(200):
        axes = np.array(aim_axes(*generator.uniform(-180, 180, 3)))
        centre, half = generator.uniform(-50, 50, 3), generator.uniform(0.2, 4, 3)
        box = Blockers.boxes([centre], [half], [axes])
        on_face = generator.uniform(-1, 1, (2, 3)) * half
        on_face[:, 0] = half[0]
        lamp, point = centre + on_face @ axes
        assert clear(lamp.tolist(), point.tolist(), box)
        across = centre + (on_face[1] * [-1, 1, 1]) @ axes
        assert not clear(lamp.tolist(), across.tolist(), box)


@pytest.mark.parametrize("precision", ["exact", "fast"])
def test_receiver_factors_at_the_ends(precision: Precision, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("scenelux.engine.receiving.FEW_POINTS", 0)
    noise = 1e-6 if precision == "fast" else 1e-15
    lamp = one_lamp(isotropic(1.0), [0, 0, 1])
    above, level = [[0, 0, 0]], [[1, 0, 1]]
    up = (0, 0, 1)

    def lux(points: list[list[float]], normal: tuple[float, ...], plane: Plane) -> float:
        return float(illuminance(lamp, Blockers.none(), points, normal, plane, precision=precision)[0, 0])

    assert lux(above, up, Plane.PLANE) == 1.0
    assert lux(above, (0, 0, -1), Plane.PLANE) == 0.0
    assert lux(above, up, Plane.CYLINDRICAL) == 0.0
    assert lux(level, up, Plane.CYLINDRICAL) == pytest.approx(1 / pi, rel=noise)
    assert lux(level, (-1, 0, 0), Plane.SEMI_CYLINDRICAL) == pytest.approx(2 / pi, rel=noise)
    assert lux(level, (1, 0, 0), Plane.SEMI_CYLINDRICAL) == pytest.approx(0.0, abs=1e-15)
    assert lux(above, up, Plane.HEMISPHERICAL) == 0.5
    assert lux(level, up, Plane.HEMISPHERICAL) == 0.25
    assert lux(above, (0, 0, -1), Plane.HEMISPHERICAL) == 0.0
