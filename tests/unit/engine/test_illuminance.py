"""Threads, limits, normals, and the places where nobody can stand."""

from __future__ import annotations

import numpy as np
import pytest

from scenelux.engine import Blockers, Lamps, Plane, covered, illuminance
from scenelux.errors import LimitError, UsageError
from scenelux.geometry import aim_axes
from tests.analytic_lamps import beam_axes, cosine_power, isotropic, one_lamp

pytestmark = pytest.mark.usefixtures("precision")

NOISE = 0.0  # What the path may lose; the fixture says it.


def busy_scene() -> tuple[Lamps, Blockers, np.ndarray]:
    lamps = Lamps.from_tables(
        [cosine_power(800.0, 2.0), isotropic(50.0)],
        table=[0, 1, 0],
        position_m=[[0, 0, 2], [1, 1, 3], [-1, 2, 1.5]],
        axes=[beam_axes(180, -30), beam_axes(0, 0), beam_axes(90, -60)],
        opening_m=[[0.3, 0.2, 0]] * 3,
        opening_axes=[beam_axes(180, -30), beam_axes(0, 0), beam_axes(90, -60)],
        opening_round=[True, False, False],
    )
    boxes = Blockers.boxes(
        [[2, 0, 0.5], [-2, -1, 1]], [[0.5, 1, 0.5], [0.2, 0.2, 1]], [aim_axes(30, 0), aim_axes(0, 10)]
    )
    x, y = np.meshgrid(np.linspace(-5, 5, 120), np.linspace(-5, 5, 100))
    return lamps, boxes, np.c_[x.ravel(), y.ravel(), np.full(x.size, 0.1)]


def test_the_number_of_threads_changes_no_byte() -> None:
    lamps, boxes, points = busy_scene()
    alone = illuminance(lamps, boxes, points, (0, 0, 1), threads=1)
    assert alone.shape == (3, 12_000)
    assert np.isfinite(alone).all()
    assert (alone > 0).mean() > 0.5
    for threads in (2, 3, 7, None):
        assert illuminance(lamps, boxes, points, (0, 0, 1), threads=threads).tobytes() == alone.tobytes()


def test_points_do_not_know_of_each_other() -> None:
    lamps, boxes, points = busy_scene()
    together = illuminance(lamps, boxes, points[:50], (0, 0, 1))
    one_by_one = np.hstack([illuminance(lamps, boxes, point[None], (0, 0, 1)) for point in points[:50]])
    assert np.abs(together - one_by_one).max() <= NOISE * together.max()


def test_limit_is_told_before_anything_is_allocated() -> None:
    lamps, boxes, points = busy_scene()
    with pytest.raises(LimitError, match="illuminance needs"):
        illuminance(lamps, boxes, points, (0, 0, 1), memory_limit_bytes=1000)
    with pytest.raises(LimitError):
        illuminance(lamps, boxes, np.broadcast_to(0.0, (30_000_000, 3)), (0, 0, 1), memory_limit_bytes=10_000_000)


def test_normals_of_any_length_and_one_for_all() -> None:
    lamps, boxes, points = busy_scene()
    here = points[:20]
    one = illuminance(lamps, boxes, here, (0, 0, 1))
    assert illuminance(lamps, boxes, here, np.tile([0, 0, 4.0], (20, 1))) == pytest.approx(one, rel=1e-15 + NOISE)
    facing = illuminance(lamps, boxes, here, (1, 0, 0), Plane.SEMI_CYLINDRICAL)
    looking_up = illuminance(lamps, boxes, here, (1, 0, 5), Plane.SEMI_CYLINDRICAL)
    assert looking_up == pytest.approx(facing, rel=1e-12 + NOISE, abs=NOISE * facing.max())


def test_nothing_in_nothing_out() -> None:
    lamps, boxes, _ = busy_scene()
    assert illuminance(lamps, boxes, np.empty((0, 3)), np.empty((0, 3))).shape == (3, 0)
    none = Lamps.from_tables([], table=[], position_m=np.empty((0, 3)), axes=np.empty((0, 3, 3)))
    assert illuminance(none, Blockers.none(), [[0, 0, 0]], (0, 0, 1)).shape == (0, 1)


@pytest.mark.parametrize(
    ("points", "normals", "plane", "says"),
    [
        ([[0, 0]], (0, 0, 1), Plane.PLANE, "points_m has shape"),
        ([[0, 0, np.inf]], (0, 0, 1), Plane.PLANE, "not finite"),
        ([[0, 0, 0]], [[0, 0, 1]] * 2, Plane.PLANE, "normals has shape"),
        ([[0, 0, 0]], (0, 0, 0), Plane.PLANE, "without a direction"),
        ([[0, 0, 0]], (0, 0, 2), Plane.SEMI_CYLINDRICAL, "without a direction"),
    ],
)
def test_bad_points_and_normals(points: object, normals: object, plane: Plane, says: str) -> None:
    lamp = one_lamp(isotropic(1.0), [0, 0, 3])
    with pytest.raises(UsageError, match=says):
        illuminance(lamp, Blockers.none(), points, normals, plane)  # type: ignore[arg-type]


def test_bad_up() -> None:
    with pytest.raises(UsageError, match="up"):
        illuminance(one_lamp(isotropic(1.0), [0, 0, 3]), Blockers.none(), [[0, 0, 0]], (0, 0, 1), up=(0, 0, 0))


def test_a_bumper_throws_a_shadow_of_the_right_length() -> None:
    """A lamp 2 m up and a bumper 0.5 m up that stands out 0.4 m: by similar triangles dark to 0.4 * 2 / 1.5 m."""
    lamp = one_lamp(isotropic(100.0), [0, 0, 2])
    bumper = Blockers.boxes([[0.2, 0, 0.4]], [[0.2, 1, 0.1]])
    edge = 0.4 * 2 / 1.5
    lux = illuminance(lamp, bumper, [[edge - 1e-4, 0, 0], [edge + 1e-4, 0, 0]], (0, 0, 1))[0]
    assert lux[0] == 0.0
    assert lux[1] == pytest.approx(100 * 2 / (edge**2 + 4) ** 1.5, rel=1e-3)


TRUCK = Blockers.boxes([[3, 0, 1.5]], [[3, 1, 1]])  # forward 0..6, left -1..1, up 0.5..2.5


@pytest.mark.parametrize(
    ("point", "floor", "hidden"),
    [
        ((3, 0, 0), 0.0, True),  # under the truck: headroom of 0.5 m only
        ((-0.1, 0, 0), 0.0, False),  # behind it
        ((0, 0, 0), 0.0, False),  # with the back against its rear face
        ((3, 1, 1.0), 0.0, False),  # on its side
        ((3, 0, 2.5), 2.5, False),  # on its roof
        ((3, 0, 1.5), 2.5, True),  # inside it
        ((3, 0, 3.0), 0.0, True),  # above the roof, but measured from the ground
        ((3, 0, 3.0), 2.5, False),
        ((3, 0, -2.0), -2.0, False),  # in a ditch with 2.5 m of room
    ],
)
def test_covered(point: tuple[float, ...], floor: float, hidden: bool) -> None:
    assert covered(TRUCK, [point], [floor])[0] == hidden
    assert covered(TRUCK, [point], floor)[0] == hidden


def test_headroom_decides() -> None:
    assert not covered(TRUCK, [[3, 0, 0]], 0.0, headroom_m=0.5)[0]
    assert covered(TRUCK, [[3, 0, 0]], 0.0, headroom_m=0.51)[0]
    assert not covered(Blockers.none(), [[3, 0, 0]], 0.0)[0]


def test_covered_under_a_turned_box() -> None:
    boom = Blockers.boxes([[0, 0, 2]], [[3, 0.2, 0.2]], [aim_axes(90, 30)])
    # Along left the boom climbs by tan 30: at -2 it hangs low, at +2 it is out of reach.
    assert covered(boom, [[0, -2, 0], [0, 2, 0], [2, 0, 0]], 0.0).tolist() == [True, False, False]
