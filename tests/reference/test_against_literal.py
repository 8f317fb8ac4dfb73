"""The engine beside the literal formula on random scenes: every kind of receiver, odd tables, turned boxes."""

from __future__ import annotations

import math

import numpy as np
import pytest

from scenelux.engine import Blockers, Lamps, Plane, illuminance, sight
from scenelux.geometry import aim_axes
from tests.analytic_lamps import AnalyticTable
from tests.reference.literal import (
    LiteralBox,
    LiteralLamp,
    chord_inside,
    literal_intensity,
    literal_lux,
)

pytestmark = pytest.mark.usefixtures("precision")

NOISE = 0.0  # What the path may lose; the fixture says it.

LAMPS, BOXES, POINTS = 5, 4, 25

RECEIVERS = {
    "horizontal": ("plane", Plane.PLANE, (0.0, 0.0, 1.0)),
    "pavement": ("plane", Plane.PLANE, (-0.03, 0.02, 0.99935)),
    "vertical": ("plane", Plane.PLANE, (-0.6, 0.8, 0.0)),
    "cylindrical": ("cylindrical", Plane.CYLINDRICAL, (0.0, 0.0, 1.0)),
    "semi-cylindrical": ("semi-cylindrical", Plane.SEMI_CYLINDRICAL, (0.8, 0.6, 0.0)),
    "hemispherical": ("hemispherical", Plane.HEMISPHERICAL, (0.0, 0.0, 1.0)),
}


def random_axes(generator: np.random.Generator) -> list[tuple[float, ...]]:
    heading, tilt, roll = generator.uniform(-180.0, 180.0, 3)
    return [tuple(axis) for axis in aim_axes(heading, tilt, roll)]


def random_table(generator: np.random.Generator, kind: int) -> AnalyticTable:
    """Uneven angles; a closed circle, a window of angles, or two equal planes."""
    polar = np.unique(np.r_[0.0, generator.uniform(1.0, 150.0, 12), 150.0 if kind == 0 else 180.0])
    if kind == 1:
        polar = polar[polar > 20.0]
    between = np.sort(generator.uniform(1.0, 359.0, 9))
    azimuth = (np.r_[0.0, between, 360.0], between, np.array([0.0, 360.0]))[kind]
    candela = generator.uniform(0.0, 5000.0, (len(azimuth), len(polar)))
    if kind != 1:
        candela[-1] = candela[0]
    return AnalyticTable(azimuth, polar, candela)


class Scene:
    """One random scene in both forms."""

    def __init__(self, seed: int) -> None:
        generator = np.random.default_rng(seed)
        tables = [random_table(generator, kind) for kind in range(3)]
        index = generator.integers(0, 3, LAMPS)
        places = generator.uniform([-4, -4, 1], [4, 4, 4], (LAMPS, 3))
        poses = [random_axes(generator) for _ in range(LAMPS)]
        centres, halves = generator.uniform(-5, 5, (BOXES, 3)), generator.uniform(0.1, 1.5, (BOXES, 3))
        turned = [random_axes(generator) for _ in range(BOXES)]
        self.points = generator.uniform([-8, -8, -1], [8, 8, 3], (POINTS, 3))
        self.lamps = Lamps.from_tables(tables, table=index, position_m=places, axes=poses)
        self.blockers = Blockers.boxes(centres, halves, turned)
        self.literal_lamps = [
            LiteralLamp(place.tolist(), pose, *(part.tolist() for part in parts(tables[which])))
            for place, pose, which in zip(places, poses, index, strict=True)
        ]
        self.literal_boxes = [
            LiteralBox(centre.tolist(), half.tolist(), axes)
            for centre, half, axes in zip(centres, halves, turned, strict=True)
        ]


def parts(table: AnalyticTable) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    return table.azimuth_deg, table.polar_deg, table.candela


@pytest.mark.parametrize("receiver", RECEIVERS)
def test_illuminance_on_random_scenes(receiver: str) -> None:
    name, plane, normal = RECEIVERS[receiver]
    lit = dark = 0
    for seed in range(6):
        scene = Scene(seed)
        ours = illuminance(scene.lamps, scene.blockers, scene.points, normal, plane)
        up = (0.0, 0.0, 1.0)
        unit = [part / math.sqrt(sum(p * p for p in normal)) for part in normal]
        for lamp, literal in enumerate(scene.literal_lamps):
            for i, point in enumerate(scene.points.tolist()):
                expected = literal_lux(literal, scene.literal_boxes, point, name, unit, up)
                assert ours[lamp, i] == pytest.approx(expected, rel=1e-6, abs=1e-9 + 5 * NOISE * ours.max()), (
                    seed,
                    lamp,
                    i,
                )
                lit, dark = lit + (expected > 0.0), dark + (expected == 0.0)
    # The scenes are worth something: a good part of the pairs is lit, a good part is not.
    assert lit > 100
    assert dark > 100


def test_cylinders_on_a_tilted_site() -> None:
    """The axis of the cylinders is what `up` says, and only the part of the facing square to it counts."""
    up = np.array([0.1, -0.2, 0.97])
    up /= np.linalg.norm(up)
    for name, plane in (("cylindrical", Plane.CYLINDRICAL), ("semi-cylindrical", Plane.SEMI_CYLINDRICAL)):
        scene = Scene(11)
        ours = illuminance(scene.lamps, scene.blockers, scene.points, (1.0, 0.5, 0.0), plane, up=3.0 * up)
        for lamp, literal in enumerate(scene.literal_lamps):
            for i, point in enumerate(scene.points.tolist()):
                expected = literal_lux(literal, scene.literal_boxes, point, name, (1.0, 0.5, 0.0), up.tolist())
                assert ours[lamp, i] == pytest.approx(expected, rel=1e-6, abs=1e-9 + 5 * NOISE * ours.max())


def test_sight_on_random_scenes() -> None:
    hidden = 0
    for seed in range(6):
        scene = Scene(seed)
        seen = sight(scene.lamps, scene.blockers, scene.points)
        for lamp, literal in enumerate(scene.literal_lamps):
            for i, point in enumerate(scene.points.tolist()):
                away = [p - q for p, q in zip(point, literal.position, strict=True)]
                far = math.sqrt(sum(part * part for part in away))
                assert seen.candela[lamp, i] == pytest.approx(literal_intensity(literal, away), rel=1e-6, abs=1e-9)
                assert seen.distance_m[lamp, i] == pytest.approx(far, rel=1e-12)
                assert seen.direction[lamp, i] == pytest.approx([-part / far for part in away], abs=1e-12)
                chords = [chord_inside(box, literal.position, point) for box in scene.literal_boxes]
                assert seen.clear[lamp, i] == (max(chords) <= 1e-6)
                hidden += not seen.clear[lamp, i]
    assert 50 < hidden < 700
