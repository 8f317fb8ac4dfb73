"""Openings large for the distance, against exact formulas for diffuse rectangles and disks, and brute force."""

from __future__ import annotations

from math import log, pi, sqrt
from types import SimpleNamespace

import numpy as np
import pytest
from numpy.typing import NDArray

from scenelux.engine import Blockers, Lamps, illuminance
from tests.analytic_lamps import AnalyticTable, cosine_power, one_lamp, rotational

pytestmark = pytest.mark.usefixtures("precision")

Floats = NDArray[np.float64]

POINTS = 1500


def diffuse(length: float, width: float, *, is_round: bool = False) -> Lamps:
    """A diffuse opening in the plane z = 0 that shines up with 1 cd/m2."""
    area = length * width * (pi / 4 if is_round else 1.0)
    return one_lamp(cosine_power(area, 1.0, 0.1), [0, 0, 0], opening_m=(length, width), is_round=is_round)


def polygon_lux(corners: Floats, points: Floats, normals: Floats) -> Floats:
    """Exact illuminance from a diffuse polygon of 1 cd/m2 wholly in front of the receiver: the sum over its edges of
    half the angle an edge subtends times the cosine between the receiver's normal and the edge's plane normal."""
    vector = np.zeros_like(points)
    for first, second in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        one, two = first - points, second - points
        product = np.cross(one, two)
        size = np.linalg.norm(product, axis=1)
        vector += (0.5 * np.arctan2(size, (one * two).sum(axis=1)) / size)[:, None] * product
    return np.abs((vector * normals).sum(axis=1))


def around_rectangle(length: float, width: float, generator: np.random.Generator) -> Floats:
    """Points above the plane at log-uniform distances from the rectangle's inside, edges and corners, many grazing."""
    half = np.array([length / 2, width / 2])
    base = generator.uniform(-half, half, (POINTS, 2))
    outwards = np.zeros((POINTS, 2))
    for axis in range(2):
        on_edge = generator.random(POINTS) < 0.5
        base[on_edge, axis] = half[axis]
        outwards[on_edge, axis] = generator.random(on_edge.sum())
    rise = generator.random(POINTS) * np.where(generator.random(POINTS) < 0.3, 0.03, 1.0)
    rise[(outwards == 0).all(axis=1)] = 1.0
    direction = np.c_[outwards, np.maximum(rise, 2e-3)]
    direction /= np.linalg.norm(direction, axis=1)[:, None]
    distance = max(length, width) * np.exp(generator.uniform(log(1.001 / 40), log(30), POINTS))
    return np.c_[base, np.zeros(POINTS)] + distance[:, None] * direction


@pytest.mark.parametrize("size", [(1.0, 1.0), (0.3, 0.1), (1.0, 0.02)])
def test_rectangle_within_one_percent_anywhere(size: tuple[float, float]) -> None:
    """On and off axis, parallel and perpendicular receivers, from a fortieth of the opening to thirty times it."""
    length, width = size
    points = around_rectangle(length, width, np.random.default_rng(3))
    corners = 0.5 * np.array([[-length, -width, 0], [length, -width, 0], [length, width, 0], [-length, width, 0]])
    for normal, beyond in (((0, 0, -1), None), ((-1, 0, 0), (0, length / 2)), ((0, -1, 0), (1, width / 2))):
        here = points if beyond is None else points[points[:, beyond[0]] >= beyond[1]]
        assert len(here) > 100
        ours = illuminance(diffuse(length, width), Blockers.none(), here, normal)[0]
        exact = polygon_lux(corners, here, np.tile(np.asarray(normal, float), (len(here), 1)))
        assert np.abs(ours / exact - 1).max() < 0.01


def disk_lux(radius: float, height: Floats, off_axis: Floats) -> Floats:
    """Exact illuminance on a receiver parallel to a diffuse disk of 1 cd/m2, any distance off its axis."""
    h, r = height / off_axis, radius / off_axis
    z = 1 + h * h + r * r
    return pi / 2 * (1 - (1 + h * h - r * r) / np.sqrt(z * z - 4 * r * r))


def test_disk_within_one_percent_on_and_off_axis() -> None:
    """Parallel receivers; the closed form itself is checked on the axis, where it must become R^2 / (R^2 + h^2)."""
    assert disk_lux(0.5, np.array([0.7]), np.array([1e-4]))[0] == pytest.approx(pi * 0.25 / (0.25 + 0.49), rel=1e-6)
    generator = np.random.default_rng(5)
    angle, rise = generator.uniform(0, 2 * pi, POINTS), generator.uniform(0.02, 1.0, POINTS)
    distance = np.exp(generator.uniform(log(1.001 / 40), log(30), POINTS))
    inside = generator.random(POINTS) < 0.3
    off_axis = np.where(inside, generator.uniform(1e-3, 0.5, POINTS), 0.5 + distance * np.sqrt(1 - rise**2))
    height = np.where(inside, distance, distance * rise)
    points = np.c_[off_axis * np.cos(angle), off_axis * np.sin(angle), height]
    ours = illuminance(diffuse(1, 1, is_round=True), Blockers.none(), points, (0, 0, -1))[0]
    assert np.abs(ours / disk_lux(0.5, height, off_axis) - 1).max() < 0.01


def summed(table: AnalyticTable, spots: Floats, points: Floats, normal: tuple[float, ...]) -> Floats:
    """Illuminance from equal point lamps at the given spots that together make up one lamp."""
    share = AnalyticTable(table.azimuth_deg, table.polar_deg, table.candela / len(spots))
    lamps = Lamps.from_tables(
        [share], table=np.zeros(len(spots), int), position_m=spots, axes=np.tile(np.eye(3), (len(spots), 1, 1))
    )
    return illuminance(lamps, Blockers.none(), points, normal).sum(axis=0)


def ellipse_spots(length: float, width: float) -> Floats:
    radius, angle = np.meshgrid(np.sqrt((np.arange(80) + 0.5) / 80), (np.arange(160) + 0.5) / 160 * 2 * pi)
    spots = np.c_[length / 2 * (radius * np.cos(angle)).ravel(), width / 2 * (radius * np.sin(angle)).ravel()]
    return np.c_[spots, np.zeros(len(spots))]


def test_ellipse_against_many_point_lamps() -> None:
    """Parallel and perpendicular receivers beside and above an ellipse, where no closed form is at hand."""
    spots = ellipse_spots(1.0, 0.4)
    points = np.array([[0, 0, 0.2], [0.4, 0.1, 0.15], [0.7, 0, 0.1], [0, 0.5, 0.1], [2, 1, 0.3], [0.3, -0.4, 0.9]])
    lamp = diffuse(1.0, 0.4, is_round=True)
    table = cosine_power(pi / 4 * 0.4, 1.0, 0.1)
    for normal in ((0, 0, -1), (-1, 0, 0), (0, -1, 0)):
        ours = illuminance(lamp, Blockers.none(), points, normal)[0]
        assert ours == pytest.approx(summed(table, spots, points, normal), rel=0.01)


def test_narrow_beam_of_a_wide_opening() -> None:
    """A beam of 6 deg from an opening of 0.3 m: near the lamp the lit patch is the opening, not a point's spot."""
    polar = np.linspace(0, 30, 301)
    table = rotational(polar, 50_000 * np.exp(-0.5 * (polar / 2.55) ** 2))
    tiles = (np.arange(60) + 0.5) / 60 * 0.3 - 0.15
    x, y = np.meshgrid(tiles, tiles)
    spots = np.c_[x.ravel(), y.ravel(), np.zeros(x.size)]
    points = np.array(
        [[0, 0, 0.5], [0.1, 0, 0.5], [0, 0, 1.5], [0.1, 0.1, 1.5], [0, 0, 4.0], [0.2, 0, 4.0], [0, 0, 30]]
    )
    ours = illuminance(one_lamp(table, [0, 0, 0], opening_m=(0.3, 0.3)), Blockers.none(), points, (0, 0, -1))[0]
    assert ours == pytest.approx(summed(table, spots, points, (0, 0, -1)), rel=0.01)
    # As one point it would be far off close by.
    as_point = illuminance(one_lamp(table, [0, 0, 0]), Blockers.none(), points, (0, 0, -1))[0]
    assert as_point[0] > 5 * ours[0]


def test_far_away_an_opening_is_a_point() -> None:
    points = [[0, 0, 10.0], [3, 4, 12.0]]
    opening = illuminance(diffuse(0.3, 0.3), Blockers.none(), points, (0, 0, -1))
    point = illuminance(one_lamp(cosine_power(0.09, 1.0, 0.1), [0, 0, 0]), Blockers.none(), points, (0, 0, -1))
    assert (opening == point).all()


def test_a_fifth_of_the_distance_is_always_split() -> None:
    """The rule of the trade: an opening larger than a fifth of the distance is not a point."""
    opening = illuminance(diffuse(1.0, 1.0), Blockers.none(), [[0, 0, 5.0]], (0, 0, -1))[0, 0]
    point = illuminance(one_lamp(cosine_power(1.0, 1.0, 0.1), [0, 0, 0]), Blockers.none(), [[0, 0, 5.0]], (0, 0, -1))
    assert point[0, 0] / opening - 1 == pytest.approx(0.01332, abs=1e-4)


def test_nearer_than_a_fortieth_there_is_no_answer() -> None:
    rectangle = illuminance(diffuse(1.0, 0.5), Blockers.none(), [[0.3, 0.1, 0.0249], [0.3, 0.1, 0.0251]], (0, 0, -1))[0]
    assert np.isnan(rectangle[0])
    assert rectangle[1] == pytest.approx(pi, rel=0.02)
    disk = illuminance(diffuse(1, 1, is_round=True), Blockers.none(), [[0.52, 0, 0.001], [0.53, 0, 0.001]], (0, 0, -1))
    assert np.isnan(disk[0, 0])
    assert disk[0, 1] > 0
    at_the_lamp = illuminance(one_lamp(cosine_power(1.0, 1.0), [1, 2, 3]), Blockers.none(), [[1, 2, 3]], (0, 0, 1))
    assert np.isnan(at_the_lamp[0, 0])


def test_an_ellipse_without_width_is_a_line() -> None:
    line = illuminance(diffuse(1.0, 0.0), Blockers.none(), [[0.1, 0.2, 0.3]], (0, 0, -1))
    lamp = one_lamp(cosine_power(0.0, 1.0, 0.1), [0, 0, 0], opening_m=(1.0, 0.0), is_round=True)
    assert not lamp.opening_round[0]
    assert np.isfinite(line).all()


def test_half_an_opening_behind_a_board() -> None:
    """A board that hides one half of a diffuse strip from a point leaves half its light: the penumbra shows."""
    strip = diffuse(0.4, 0.0001)
    board = Blockers.boxes([[-0.5, 0, 0.5]], [[0.5, 1.0, 0.001]])
    point = [[0.0, 0.0, 1.0]]
    free = illuminance(strip, Blockers.none(), point, (0, 0, -1))[0, 0]
    assert illuminance(strip, board, point, (0, 0, -1))[0, 0] == pytest.approx(free / 2, rel=1e-6)


def test_a_tilted_lamp_on_a_face_is_not_hidden_by_its_own_body() -> None:
    """Half of its opening dips into the body; those spots look past it from the lamp's centre."""
    body = Blockers.boxes([[0, 0, -0.5]], [[1, 1, 0.5]])
    tilt = 1 / sqrt(2)
    axes = np.array([[1, 0, 0], [0, tilt, -tilt], [0, tilt, tilt]])
    lamp = one_lamp(cosine_power(100.0, 1.0, 0.1), [0, 0, 0], axes, opening_m=(0.2, 0.2))
    points = [[0, 0.3, 0.4], [0.2, 0.5, 0.2]]
    free = illuminance(lamp, Blockers.none(), points, (0, -1, 0))
    assert (illuminance(lamp, body, points, (0, -1, 0)) == free).all()
    assert (illuminance(lamp, body, [[0, 0.3, -0.4]], (0, -1, 0)) == 0.0).all()


def test_a_receiver_whose_plane_cuts_the_opening_keeps_to_one_percent() -> None:
    """Tilted receivers anywhere near, against a fine literal sum over the opening."""
    rng = np.random.default_rng(3)
    polar = np.linspace(0.0, 90.0, 901)
    diffuse = SimpleNamespace(
        azimuth_deg=[0, 360], polar_deg=polar, candela=[np.cos(np.radians(polar)).clip(0)] * 2
    )  # fmt: skip
    steps = (np.arange(700) + 0.5) / 700 - 0.5
    checked = 0
    for _ in range(60):
        length, width, is_round = 0.6, float(rng.choice([0.6, 0.3, 0.1])), bool(rng.integers(2))
        point = np.array([rng.uniform(-0.5, 0.5), rng.uniform(-0.5, 0.5), 10 ** rng.uniform(-1.3, 0.3)])
        normal = rng.normal(size=3) * 0.5 - np.array([0.0, 0.0, 1.0])
        normal /= np.linalg.norm(normal)
        lamp = Lamps.from_tables(
            [diffuse], table=[0], position_m=[[0, 0, 0]], axes=[np.eye(3)],
            opening_m=[[length, width, 0]], opening_axes=[np.eye(3)], opening_round=[is_round],
        )  # fmt: skip
        ours = illuminance(lamp, Blockers.none(), [point], normal)[0, 0]
        x, y = (grid.ravel() for grid in np.meshgrid(steps * length, steps * width))
        inside = (2 * x / length) ** 2 + (2 * y / width) ** 2 <= 1.0 if is_round else np.ones_like(x, dtype=bool)
        away = point - np.stack((x[inside], y[inside], np.zeros(int(inside.sum()))), axis=1)
        distance = np.linalg.norm(away, axis=1)
        literal = np.mean(np.clip(away[:, 2], 0, None) * np.clip(-(away @ normal), 0, None) / distance**4)
        if literal > 1e-3:
            checked += 1
            assert abs(ours / literal - 1.0) < 0.01, (length, width, is_round, point, normal)
    assert checked > 40
