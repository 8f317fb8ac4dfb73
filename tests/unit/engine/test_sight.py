"""What an eye gets of each lamp."""

from __future__ import annotations

import numpy as np
import pytest

from scenelux.engine import Blockers, Lamps, sight
from scenelux.errors import LimitError
from tests.analytic_lamps import beam_axes, cosine_power, isotropic


def test_intensity_stays_known_behind_a_wall() -> None:
    lamps = Lamps.from_tables(
        [isotropic(500.0), cosine_power(1000.0, 2.0)],
        table=[0, 1],
        position_m=[[30, 0, 1], [30, 4, 1]],
        axes=[np.eye(3), beam_axes(180, 0)],
    )
    wall = Blockers.boxes([[20, 0, 1]], [[0.1, 1, 1]])
    seen = sight(lamps, wall, [[0, 0, 1], [60, 4, 1]])
    assert seen.candela == pytest.approx(np.array([[500, 500], [1000 * 900 / 916, 0]]), rel=1e-5)
    assert seen.clear.tolist() == [[False, True], [True, True]]
    assert seen.distance_m == pytest.approx(np.array([[30, np.hypot(30, 4)], [np.hypot(30, 4), 30]]))
    assert seen.direction[0, 0].tolist() == [1, 0, 0]
    assert seen.direction[1, 1].tolist() == [-1, 0, 0]


def test_an_eye_in_the_lamp_has_no_direction() -> None:
    lamp = Lamps.from_tables([isotropic(1.0)], table=[0], position_m=[[1, 2, 3]], axes=[np.eye(3)])
    seen = sight(lamp, Blockers.none(), [[1, 2, 3]])
    assert seen.distance_m[0, 0] == 0
    assert np.isnan(seen.direction).all()


def test_threads_and_limit() -> None:
    count = 12_000
    lamps = Lamps.from_tables(
        [cosine_power(1000.0, 2.0)], table=[0, 0], position_m=[[0, 0, 1], [0, 2, 2]], axes=[beam_axes(0, 0)] * 2
    )
    eyes = np.c_[np.linspace(1, 150, count), np.zeros(count), np.full(count, 1.08)]
    box = Blockers.boxes([[40, 1, 1]], [[1, 0.9, 1.2]])
    alone, shared = sight(lamps, box, eyes, threads=1), sight(lamps, box, eyes, threads=3)
    for name in ("candela", "clear", "distance_m", "direction"):
        assert getattr(alone, name).tobytes() == getattr(shared, name).tobytes()
    with pytest.raises(LimitError, match="sight needs"):
        sight(lamps, box, eyes, memory_limit_bytes=10_000)
