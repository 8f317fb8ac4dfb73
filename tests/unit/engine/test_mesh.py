"""Meshes: what is taken and refused, bodies and sheets, and the same light as boxes where the triangles are boxes."""

from __future__ import annotations

import numpy as np
import pytest

from scenelux.engine import Blockers, Lamps, Mesh, Plane, covered, illuminance, sight
from scenelux.engine.mesh import Trees
from scenelux.errors import LimitError, UsageError
from scenelux.geometry import aim_axes
from tests import mesh_shapes
from tests.analytic_lamps import beam_axes, cosine_power, isotropic, one_lamp

pytestmark = pytest.mark.usefixtures("precision")

NOISE = 0.0  # What the path may lose; the fixture says it.

Floats = np.ndarray
UP = (0.0, 0.0, 1.0)
UPRIGHT = np.eye(3)[None]


def as_mesh(boxes: Blockers) -> Blockers:
    """The same bodies, of triangles."""
    return Blockers.none().with_mesh(Mesh.from_triangles(*mesh_shapes.boxes(boxes.centre_m, boxes.half_m, boxes.axes)))


def one_box(centre: list[float], half: list[float]) -> Mesh:
    return Mesh.from_triangles(*mesh_shapes.boxes(np.array([centre], float), np.array([half], float), UPRIGHT))


THREE = [[0, 0, 0], [1, 0, 0], [0, 1, 0]]


def test_arrays_are_read_only_and_same_content_is_equal() -> None:
    one, two = (
        Mesh.from_triangles(THREE, [[0, 1, 2]]),
        Mesh.from_triangles(np.array(THREE, float), np.array([[0, 1, 2]])),
    )
    other = Mesh.from_triangles(THREE, [[1, 0, 2]])
    assert one == two
    assert hash(one) == hash(two)
    assert one != other
    assert one.arrays is two.arrays
    for array in (one.vertices_m, one.triangles, *one.arrays):
        assert not array.flags.writeable


def test_vertices_at_one_place_are_joined() -> None:
    vertices, triangles = mesh_shapes.ball(500)
    mesh = Mesh.from_triangles(vertices, triangles)
    loose = Mesh.from_triangles(vertices[triangles].reshape(-1, 3), np.arange(triangles.size).reshape(-1, 3))
    assert len(loose.vertices_m) == len(mesh.vertices_m) == len(vertices)
    assert (loose.vertices_m[loose.triangles] == mesh.vertices_m[mesh.triangles]).all()
    assert len(Mesh.from_triangles([[0.0, 0, 0], [-0.0, 0, 0], [1, 0, 0], [0, 1, 0]], [[1, 2, 3]]).vertices_m) == 3


def test_triangles_without_area_are_dropped_and_counted() -> None:
    vertices = [*THREE, [2, 0, 0], [0.1, 0.1, 0.1], [0.2, 0.2, 0.2], [0.3, 0.3, 0.3]]
    mesh = Mesh.from_triangles(vertices, [[0, 0, 1], [0, 1, 3], [4, 5, 6], [0, 1, 2], [2, 2, 2]])
    assert mesh.dropped == 4
    assert sorted(mesh.arrays.names[mesh.arrays.names >= 0].tolist()) == [3]
    none = Mesh.from_triangles(THREE, [[0, 0, 1]])
    assert none.dropped == len(none) == 1
    assert sight(one_lamp(isotropic(1.0), [0, 0, 1]), Blockers.none().with_mesh(none), [[0.1, 0, -1]]).clear.all()


@pytest.mark.parametrize("empty", [[], np.empty((0, 3), int)])
def test_a_mesh_of_nothing_stops_nothing(empty: object) -> None:
    mesh = Mesh.from_triangles(np.empty((0, 3)), empty)  # type: ignore[arg-type]
    assert len(mesh) == 0
    assert sight(one_lamp(isotropic(1.0), [0, 0, 1]), Blockers.none().with_mesh(mesh), [[0, 0, 0]]).clear.all()
    assert not covered(Blockers.none().with_mesh(mesh), [[0, 0, 0]], 0.0)[0]


@pytest.mark.parametrize(
    ("vertices", "triangles", "says"),
    [
        ([[0, 0]], [[0, 0, 0]], "vertices_m has shape"),
        ([[0, 0, np.nan]], [[0, 0, 0]], "vertices_m holds a number that is not finite"),
        ([[0, 0, 2e7]], [[0, 0, 0]], "farther than"),
        (THREE, [[0, 1, 3]], "whole numbers 0..2"),
        (THREE, [[0, 1, -1]], "whole numbers 0..2"),
        (THREE, [[0.0, 1.0, 2.0]], "whole numbers 0..2"),
        (THREE, [[0, 1]], "triangles has shape"),
        (THREE, [0, 1, 2], "triangles has shape"),
        (np.empty((0, 3)), [[0, 1, 2]], "whole numbers"),
    ],
)
def test_bad_meshes(vertices: object, triangles: object, says: str) -> None:
    with pytest.raises(UsageError, match=says):
        Mesh.from_triangles(vertices, triangles)  # type: ignore[arg-type]


def test_limits_come_before_anything_is_allocated() -> None:
    with pytest.raises(LimitError, match="triangles holds 10000001 rows"):
        Mesh.from_triangles(THREE, np.broadcast_to(np.int64(0), (10_000_001, 3)))
    with pytest.raises(LimitError, match="vertices_m holds"):
        Mesh.from_triangles(np.broadcast_to(0.0, (10**9, 3)), [[0, 1, 2]])


def test_trees_are_kept_by_content_up_to_a_size() -> None:
    meshes = [one_box([k, 0, 0], [1, 1, 1]) for k in range(4)]
    size = sum(part.nbytes for part in meshes[0].arrays)
    trees = Trees(2 * size)
    first = trees.of(meshes[0])
    assert trees.of(one_box([0, 0, 0], [1, 1, 1])) is first
    trees.of(meshes[1])
    trees.of(meshes[0])
    trees.of(meshes[2])  # The one used longest ago goes.
    assert list(trees.kept) == [meshes[0].digest, meshes[2].digest]
    assert trees.size_bytes() <= 2 * size
    assert Trees(1).of(meshes[3]).names.size


def outward(mesh: Mesh) -> list[int]:
    return mesh.arrays.outward.tolist()


def test_bodies_and_sheets_are_told_apart() -> None:
    both = np.ones((2, 3)), np.tile(UPRIGHT, (2, 1, 1))
    vertices, triangles = mesh_shapes.boxes(np.array([[0, 0, 0], [5, 0, 0.0]]), *both)
    assert outward(Mesh.from_triangles(vertices, triangles)) == [1] * 24
    assert outward(Mesh.from_triangles(vertices, triangles[:, ::-1])) == [-1] * 24
    assert outward(Mesh.from_triangles(vertices, triangles[:-1])) == [1] * 12 + [0] * 11  # a lid is open
    turned = triangles.copy()
    turned[3] = turned[3, ::-1]
    assert outward(Mesh.from_triangles(vertices, turned)) == [0] * 12 + [1] * 12  # its sides do not agree
    touching, _ = mesh_shapes.boxes(np.array([[0, 0, 0], [2, 2, 0.0]]), *both)
    assert outward(Mesh.from_triangles(touching, triangles)) == [1] * 24  # two boxes with one edge in common
    assert set(outward(Mesh.from_triangles(*mesh_shapes.ball(2000)))) == {1}


def test_bodies_are_smaller_by_the_skin_and_no_more() -> None:
    """Corners of boxes move by the skin along each of the three faces, a ball's by the skin, however fine it is."""
    for half in ([1, 1, 1], [3, 0.2, 0.7]):
        blocks = one_box([4, -2, 7], half).arrays.blocks.reshape(-1, 10, 4)
        names = one_box([4, -2, 7], half).arrays.names.reshape(-1, 4)
        corners = np.abs(blocks[:, :9].reshape(-1, 3, 3, 4).transpose(0, 3, 1, 2)[names >= 0])
        assert corners == pytest.approx(np.broadcast_to(half, corners.shape) - np.float64(1e-6), abs=2e-9)
    mesh = Mesh.from_triangles(*mesh_shapes.ball(5000, bumps=0.0))
    blocks, names = mesh.arrays.blocks.reshape(-1, 10, 4), mesh.arrays.names.reshape(-1, 4)
    radii = np.linalg.norm(blocks[:, :9].reshape(-1, 3, 3, 4).transpose(0, 3, 1, 2)[names >= 0], axis=-1)
    assert radii == pytest.approx(2 - 1e-6, abs=2e-8)


def scene(generator: np.random.Generator) -> tuple[Lamps, Blockers, Floats, Floats]:
    """Lamps with and without openings, two of them on a box; boxes turned any way; points anywhere."""
    count = int(generator.integers(1, 7))
    turned = np.array([aim_axes(*generator.uniform(-180, 180, 3)) for _ in range(count)])
    boxes = Blockers.boxes(generator.uniform(-4, 4, (count, 3)), generator.uniform(0.2, 1.5, (count, 3)), turned)
    places = generator.uniform(-5, 5, (6, 3))
    on_face = np.array([[1, 0.3, -0.4], [-0.5, 0.6, 1.0]]) * boxes.half_m[0]
    places[:2] = on_face @ turned[0] + boxes.centre_m[0]
    axes = [beam_axes(*generator.uniform(-180, 180, 2)) for _ in places]
    lamps = Lamps.from_tables(
        [cosine_power(800.0, 2.0), isotropic(50.0)], table=[1, 0, 1, 0, 1, 1], position_m=places, axes=axes,
        opening_m=[[0, 0, 0]] * 4 + [[0.4, 0.3, 0], [0.5, 0.5, 0]], opening_axes=axes,
        opening_round=[False] * 5 + [True],
    )  # fmt: skip
    points, normals = generator.uniform(-6, 6, (2, 150, 3))
    points[:20] = (generator.uniform(-1, 1, (20, 3)) * [1, 1, 0] + [0, 0, 1]) * boxes.half_m[0] @ turned[0]
    points[:20] += boxes.centre_m[0]
    return lamps, boxes, points, normals


def test_boxes_of_triangles_cast_the_same_light(record_property: pytest.RecordProperty) -> None:
    """Over random scenes: illuminance, sight and headroom. What differs lies within 1e-6 m of an edge, and is counted.

    A ray that both starts and ends inside one body meets none of its triangles: left out too, nobody can be there.
    """
    apart = pairs = 0
    for seed in range(40):
        lamps, boxes, points, normals = scene(np.random.default_rng(seed))
        meshes = as_mesh(boxes)
        one, two = (illuminance(lamps, some, points, normals) for some in (boxes, meshes))
        assert np.isfinite(one).all()
        assert np.isfinite(two).all()
        assert 0.05 < (one == 0).mean() < 0.98
        seen, again = (sight(lamps, some, points).clear for some in (boxes, meshes))
        larger, smaller = (_grown(boxes, by) for by in (1e-6, -1e-6))
        within = (_holds(boxes, lamps.position_m)[:, None] & _holds(boxes, points)).any(axis=-1)
        sure = ~within & (sight(lamps, larger, points).clear == sight(lamps, smaller, points).clear)
        apart += int(((seen != again) & ~within).sum())
        pairs += one.size
        assert (seen == again)[sure].all(), f"scene {seed}"
        assert (one == two)[:4][sure[:4]].all(), f"scene {seed}"
        free = ~_holds(boxes, points).any(axis=1)
        assert (one == two)[4:, free].mean() > 0.999, "openings are many rays each"
        floors = points[:, 2] - 0.4
        assert (covered(boxes, points, floors, 0.8) == covered(meshes, points, floors, 0.8)).all()
    record_property("lamp-points that differ", f"{apart} of {pairs}")
    assert apart <= 1e-4 * pairs


def _holds(boxes: Blockers, places: Floats) -> Floats:
    """(n, B), whether each place is inside each box, surface and a little more included."""
    own = np.einsum("bij,nbj->nbi", boxes.axes, places[:, None] - boxes.centre_m)
    return (np.abs(own) <= boxes.half_m + 1e-5).all(axis=-1)


def _grown(boxes: Blockers, by_m: float) -> Blockers:
    return Blockers.boxes(boxes.centre_m, boxes.half_m + by_m, boxes.axes)


TRUCK = Blockers.boxes([[3, 0, 1.5]], [[3, 1, 1]])


def test_where_nobody_can_stand() -> None:
    points = [
        (3, 0, 0), (-0.1, 0, 0), (0, 0, 0), (3, 1, 1.0), (3, 0, 2.5), (3, 0, 1.5), (3, 0, 3.0), (3, 0, -2.0),
        (2, 0.5, 1.1),
    ]  # fmt: skip
    floors = [0.0, 0.0, 0.0, 0.0, 2.5, 2.5, 0.0, -2.0, 1.0]
    expected = [True, False, False, False, False, True, True, False, True]
    assert covered(TRUCK, points, floors).tolist() == expected
    assert covered(as_mesh(TRUCK), points, floors).tolist() == expected
    assert covered(as_mesh(TRUCK), [(3, 0, 1.5)], 1.0, headroom_m=0.2)[0], "wholly inside"
    roof = Mesh.from_triangles([[-5, -5, 1.9], [5, -5, 1.9], [0, 5, 1.9]], [[0, 1, 2]])
    assert covered(Blockers.none().with_mesh(roof), [[0, 0, 0], [0, 8, 0]], 0.0).tolist() == [True, False]


def test_boxes_and_mesh_stand_side_by_side() -> None:
    lamp = one_lamp(isotropic(100.0), [0, 0, 3])
    both = TRUCK.with_mesh(one_box([-3, 0, 1], [0.5, 0.5, 1]))
    points = [[4, 0, 0], [-5, 0, 0], [0, 5, 0]]
    assert sight(lamp, both, points).clear[0].tolist() == [False, False, True]
    assert sight(lamp, both.with_mesh(None), points).clear[0].tolist() == [False, True, True]
    assert (illuminance(lamp, both, points, UP, Plane.HEMISPHERICAL)[0] > 0).tolist() == [False, False, True]


def test_a_tilted_opening_that_dips_into_its_body_still_shines() -> None:
    """The half of a tilted lamp's opening that lies behind the face looks from the centre, with boxes and triangles."""
    axes = beam_axes(180, -40)
    lamp = one_lamp(cosine_power(500.0, 1.0), [0, 0, 1.5], axes, opening_m=(0.2, 0.2))
    points = [[-0.8, 0.2, 0.4], [-0.3, 0, 0.9], [1, 0, 3]]
    normals = [[1, 0, 0.5]] * 3
    box, mesh = (illuminance(lamp, some, points, normals)[0] for some in (TRUCK, as_mesh(TRUCK)))
    assert (box[:2] > 0).all()
    assert mesh == pytest.approx(box, rel=1e-12 + NOISE)
