"""What is left out of a tile: every answer beside many random ways through the same shaft, in double precision."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scenelux.engine.cache import compiled
from scenelux.engine.fast.cull import (
    MISSED,
    SHADED,
    THIN,
    TOUCHED,
    backwards,
    leave_out,
    meeting,
    noise_m,
    outside_cone,
    place_boxes,
)
from scenelux.engine.kernels import SKIN_M
from tests.analytic_lamps import beam_axes

Floats = NDArray[np.float64]

CASES = 600
WAYS = 200


@compiled
def _kind(tile: Floats, centre: Floats, half: Floats, axes: Floats, seen: Floats, origin: Floats) -> int:
    place_boxes(tile, centre, half, axes, seen)
    return meeting(tile[3:6], half[0], axes[0], seen[0], origin)


@compiled
def _outside(half: Floats, x: float, y: float, z: float, axis: Floats, cosine: float, sine: float) -> bool:
    return outside_cone(half, x, y, z, axis, cosine, sine, noise_m(half, x, y, z))


@compiled
def _away(bounds: Floats, x: float, y: float, z: float) -> bool:
    return backwards(bounds[6:9], bounds[9:12], bounds[12], x, y, z, noise_m(bounds[3:6], x, y, z))


@dataclass(frozen=True)
class Shaft:
    """A lamp, a tile (centre and half sizes), and a box of its own axes."""

    lamp: Floats
    tile: Floats
    centre: Floats
    half: Floats
    axes: Floats

    def kind(self) -> int:
        origin = self.axes @ (self.lamp - self.centre)
        seen = np.zeros((1, 8))
        return _kind(self.tile, self.centre[None], self.half[None], self.axes[None], seen, origin)

    def ways_hidden(self, points: Floats) -> NDArray[np.bool_]:
        """Whether each way from the lamp to a point passes through the box: the slab test as one writes it down."""
        start, step = self.axes @ (self.lamp - self.centre), (points - self.lamp) @ self.axes.T
        with np.errstate(divide="ignore", invalid="ignore"):
            one, two = (-self.half + SKIN_M - start) / step, (self.half - SKIN_M - start) / step
        enter = np.maximum(np.minimum(one, two).max(axis=1), 0.0)
        leave = np.minimum(np.maximum(one, two).min(axis=1), 1.0)
        hidden: NDArray[np.bool_] = enter < leave
        return hidden


def shaft(generator: np.random.Generator) -> Shaft:
    tile = np.r_[generator.uniform(-6, 6, 3), generator.uniform(0, 1.5, 3) * generator.integers(0, 2, 3)]
    axes = np.array(beam_axes(*generator.uniform(-180, 180, 3)))
    return Shaft(
        generator.uniform(-6, 6, 3), tile, generator.uniform(-4, 4, 3), generator.uniform(0.2, 3, 3), axes
    )  # fmt: skip


def places_in(tile: Floats, generator: np.random.Generator) -> Floats:
    """The eight corners of a tile and points anywhere in it."""
    signs = np.array(np.meshgrid([-1, 1], [-1, 1], [-1, 1])).reshape(3, -1).T
    return tile[:3] + np.r_[signs, generator.uniform(-1, 1, (WAYS, 3))] * tile[3:6]


def test_a_box_said_to_be_missed_hides_no_point_and_one_said_to_shade_hides_all() -> None:
    generator = np.random.default_rng(5)
    counted = dict.fromkeys((MISSED, TOUCHED, SHADED), 0)
    for _ in range(CASES):
        case = shaft(generator)
        kind, hidden = case.kind(), case.ways_hidden(places_in(case.tile, generator))
        counted[kind] += 1
        assert not (kind == MISSED and hidden.any())
        assert not (kind == SHADED and not hidden.all())
    assert min(counted.values()) > CASES // 20, counted


def test_boxes_left_out_by_the_cheap_question_hide_no_point() -> None:
    generator = np.random.default_rng(9)
    left_out = needed = 0
    for _ in range(CASES):
        case = shaft(generator)
        reach, kinds = np.abs(case.axes.T) @ case.half, np.full(1, THIN, np.int64)
        leave_out(case.tile, case.lamp, (case.centre - reach)[:, None], (case.centre + reach)[:, None], kinds)
        hidden = case.ways_hidden(places_in(case.tile, generator)).any()
        assert kinds[0] in (MISSED, TOUCHED)
        assert not (kinds[0] == MISSED and hidden)
        left_out, needed = left_out + (kinds[0] == MISSED), needed + (not hidden)
    assert left_out > 0.4 * needed


def test_most_boxes_that_hide_nothing_are_said_to_be_missed() -> None:
    generator = np.random.default_rng(6)
    empty = touched = 0
    for _ in range(CASES):
        case = shaft(generator)
        if not case.ways_hidden(places_in(case.tile, generator)).any():
            empty += 1
            touched += case.kind() == TOUCHED
    assert touched < 0.1 * empty


def test_a_lamp_or_a_tile_on_a_face_is_not_hidden_by_touching_it() -> None:
    axes, centre, half = np.eye(3), np.zeros(3), np.ones(3)
    on_the_face, floor = np.array([0.0, 0.0, 1.0]), np.array([4.0, 0.0, 1.0, 1.0, 1.0, 0.0])
    assert Shaft(on_the_face, floor, centre, half, axes).kind() == MISSED
    roof = np.array([0.3, 0.0, 1.0, 0.5, 0.5, 0.0])
    assert Shaft(np.array([0.0, 0.0, 3.0]), roof, centre, half, axes).kind() == MISSED


def test_a_sheet_thinner_than_single_precision_is_left_to_the_exact_path() -> None:
    tile = np.array([5000.0, 0.0, 0.0, 1.0, 1.0, 0.0])
    sheet = np.array([1e-3, 2.0, 2.0])
    assert Shaft(np.array([-5000.0, 0.0, 2.0]), tile, np.zeros(3), sheet, np.eye(3)).kind() == THIN


def test_a_tile_outside_the_cone_has_no_point_in_it() -> None:
    generator = np.random.default_rng(7)
    left_out = lit = kept = 0
    for _ in range(CASES):
        tile = shaft(generator).tile
        angle = np.radians(generator.uniform(2, 178))
        axis = np.array(beam_axes(*generator.uniform(-180, 180, 3)))[0]
        places = places_in(tile, generator)
        inside = places @ axis >= np.cos(angle) * np.linalg.norm(places, axis=1)
        out = _outside(tile[3:6], tile[0], tile[1], tile[2], axis, np.cos(angle), np.sin(angle))
        assert not (out and inside.any())
        left_out, lit, kept = left_out + out, lit + bool(inside.any()), kept + (not out and not inside.any())
    assert left_out > CASES // 5 and lit > CASES // 5
    assert kept < CASES // 20  # what is dark is nearly always left out


def test_a_tile_that_looks_away_faces_the_lamp_nowhere() -> None:
    generator = np.random.default_rng(8)
    away = facing = 0
    for _ in range(CASES):
        tile = shaft(generator).tile
        places = places_in(tile, generator)
        normals = np.array(beam_axes(*generator.uniform(-180, 180, 3)))[0] + generator.normal(0, 0.1, places.shape)
        normals /= np.linalg.norm(normals, axis=1)[:, None]
        along = ((places - tile[:3]) * normals).sum(axis=1)
        bounds = np.r_[tile, normals.min(axis=0), normals.max(axis=0), along.min()]
        towards = -(places * normals).sum(axis=1)  # the lamp stands at the origin
        said = _away(bounds, tile[0], tile[1], tile[2])
        assert not (said and (towards > 0.0).any())
        away, facing = away + said, facing + bool((towards > 0.0).any())
    assert away > CASES // 5 and facing > CASES // 5
