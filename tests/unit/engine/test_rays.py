"""Rays against a mesh: the same answers as every triangle by itself, no leak at edges, ends, and what comes first."""

from __future__ import annotations

import numpy as np
import pytest

from scenelux.engine.binary import DEEPEST
from scenelux.engine.bvh import NODE
from scenelux.engine.lanes import BOXES, STACK
from scenelux.engine.mesh import Mesh
from scenelux.engine.rays import mesh_blocks, mesh_holds
from scenelux.engine.segments import first_hits, hidden
from scenelux.errors import LimitError, UsageError
from tests import mesh_shapes

Floats = np.ndarray


def shapes() -> list[tuple[str, Floats, Floats]]:
    generator = np.random.default_rng(5)
    found = [(f"soup {k}", *mesh_shapes.soup(count, size, generator)) for k, (count, size) in enumerate(
        [(1, 2.0), (3, 2.0), (9, 1.5), (80, 0.7), (700, 0.4), (3000, 0.2), (400, 3.0)])]  # fmt: skip
    found += [(f"ball {count}", *mesh_shapes.ball(count)) for count in (30, 400, 2000)]
    vertices, triangles = mesh_shapes.soup(500, 0.3, generator)
    found.append(("thin", vertices * [1, 1, 1e-3], triangles))
    found.append(("far away", vertices + np.array([5000, -3000, 200]), triangles))
    found.append(("tiny", vertices * 1e-3, triangles))
    return found


@pytest.mark.parametrize(("name", "vertices", "triangles"), shapes(), ids=[name for name, *_ in shapes()])
def test_the_same_as_every_triangle_by_itself(
    name: str, vertices: Floats, triangles: Floats, record_property: pytest.RecordProperty
) -> None:
    """Shadow and first hit of random rays; rays within 1e-5 of an edge or of an end are left out and counted."""
    generator = np.random.default_rng(11)
    low, high = vertices.min(axis=0), vertices.max(axis=0)
    wide = (high - low).max()
    starts, ends = generator.uniform(low - 0.3 * wide, high + 0.3 * wide, (2, 400, 3))
    ends[:40, :2] = starts[:40, :2]  # along one axis
    ends[40:60, 0] = starts[40:60, 0]  # square to one axis
    mesh = Mesh.from_triangles(vertices, triangles)
    dark, (t, number, shares) = hidden(mesh, starts, ends), first_hits(mesh, starts, ends - starts)
    left_out = 0
    for i, (start, end) in enumerate(zip(starts, ends, strict=True)):
        each, close = mesh_shapes.all_triangles(vertices, triangles, start, end - start, 1e-5)
        if close or (np.abs(each) < 1e-5).any() or (np.abs(each - 1) < 1e-5).any():
            left_out += 1
            continue
        assert dark[i] == (each < 1.0).any(), f"{name}, ray {i}"
        assert (number[i] >= 0) == np.isfinite(each).any()
        if number[i] >= 0:
            a, b, c = vertices[triangles[number[i]]]
            normal = np.cross(b - a, c - a)
            assert number[i] == each.argmin()
            off_m = abs((end - start) @ normal) / np.linalg.norm(normal) * abs(t[i] - each.min())
            assert off_m < 1.1e-6, "a body is smaller by its skin of 1e-6 m"
            place = start + t[i] * (end - start)
            assert place == pytest.approx(a + shares[i, 0] * (b - a) + shares[i, 1] * (c - a), abs=1e-5 * wide)
    record_property("left out", left_out)
    assert left_out <= 40, "one ray in ten at most"


@pytest.mark.parametrize("shift", [0.0, 0.1, 7.3e3])
def test_no_ray_slips_through_edges_and_vertices(shift: float) -> None:
    """From the middle of a closed shape outwards through every vertex, and through points on every edge."""
    for count in (12, 200, 3000):
        vertices, triangles = mesh_shapes.ball(count)
        vertices = vertices + shift
        mesh = Mesh.from_triangles(vertices, triangles)
        share = np.linspace(0, 1, 7)[:, None, None]
        a, b = vertices[triangles], vertices[np.roll(triangles, 1, axis=1)]
        through = (a.reshape(-1, 3) * (1 - share) + b.reshape(-1, 3) * share).reshape(-1, 3)
        generator = np.random.default_rng(count)
        middle = shift + generator.uniform(-0.3, 0.3, through.shape)
        beyond = middle + 2.0 * (through - middle)
        assert hidden(mesh, middle, beyond).all()
        assert hidden(mesh, beyond, middle).all()
        assert np.isfinite(first_hits(mesh, middle, through - middle)[0]).all()


def test_no_ray_slips_through_a_box_square_to_the_site() -> None:
    """Rays along the axes through edges, diagonals and corners of its faces: exact zeros everywhere."""
    vertices, triangles = mesh_shapes.boxes(np.zeros((1, 3)), np.ones((1, 3)), np.eye(3)[None])
    mesh = Mesh.from_triangles(vertices, triangles)
    steps = np.linspace(-1, 1, 9)
    u, v = (part.ravel() for part in np.meshgrid(steps[1:-1], steps[1:-1]))
    for axis in range(3):
        starts = np.zeros((len(u), 3))
        starts[:, (axis + 1) % 3], starts[:, (axis + 2) % 3] = u, v
        ends = starts.copy()
        starts[:, axis], ends[:, axis] = -3, 3
        assert hidden(mesh, starts, ends).all()
        starts[:, axis] = 0
        assert hidden(mesh, starts, ends).all()
    corners = mesh_shapes.CORNERS
    assert hidden(mesh, np.zeros((8, 3)), 2 * corners).all()
    assert hidden(mesh, -2 * corners, 2 * corners).all()


SHEET = Mesh.from_triangles([[-1, -1, 0], [3, -1, 0], [-1, 3, 0]], [[0, 1, 2]])
TURNED = Mesh.from_triangles([[-1, -1, 0], [3, -1, 0], [-1, 3, 0]], [[0, 2, 1]])


@pytest.mark.parametrize("sheet", [SHEET, TURNED])
@pytest.mark.parametrize(
    ("start", "end", "dark"),
    [
        ([0, 0, 1], [0, 0, -1], True),
        ([0, 0, 1], [0, 0, 0], False),  # ends on it
        ([0, 0, 1], [0.3, 0.2, -0.9e-6], False),  # ends in its skin
        ([0, 0, 1], [0.3, 0.2, -1.1e-6], True),
        ([0, 0, 0.9e-6], [0.3, 0.2, -1], False),
        ([0, 0, 1.1e-6], [0.3, 0.2, -1], True),
        ([-2, 0, 0], [5, 0, 0], False),  # within its plane
        ([-0.5, 0, 0], [0.5, 0, 0], False),
        ([5, 5, 1], [5, 5, -1], False),  # beside it
        ([0, 0, 2], [0, 0, 1], False),  # before it
        ([0, 0, 0.5], [0, 0, 0.5], False),  # no length
    ],
)
def test_a_sheet_has_two_sides_and_a_skin_at_both_ends(
    sheet: Mesh, start: list[float], end: list[float], dark: bool
) -> None:
    assert hidden(sheet, [start], [end])[0] == dark
    assert hidden(sheet, [end], [start])[0] == dark
    assert mesh_blocks(sheet.arrays, *map(float, start), *map(float, end)) == dark


def test_first_hit_of_a_ray_that_starts_on_a_sheet_is_the_next_one() -> None:
    stack = np.concatenate([[[-1, -1, z], [3, -1, z], [-1, 3, z]] for z in range(4)])
    mesh = Mesh.from_triangles(stack, np.arange(12).reshape(4, 3))
    t, number, _ = first_hits(mesh, [[0, 0, 1], [0, 0, 1.5], [0, 0, 3], [9, 9, 0]], [[0, 0, 0.5]] * 4)
    assert number.tolist() == [2, 2, -1, -1]
    assert t[:2] == pytest.approx([2, 1])
    assert np.isinf(t[2:]).all()


def test_of_two_triangles_at_one_place_the_lower_number_is_hit() -> None:
    three = [[-1, -1, 0], [3, -1, 0], [-1, 3, 0]]
    mesh = Mesh.from_triangles(three, [[0, 1, 2]] * 50)
    assert first_hits(mesh, [[0, 0, 1]], [[0, 0, -1]])[1].tolist() == [0]


def test_the_number_of_threads_changes_no_byte() -> None:
    mesh = Mesh.from_triangles(*mesh_shapes.ball(3000))
    starts, ends = np.random.default_rng(3).uniform(-4, 4, (2, 50_000, 3))
    alone = hidden(mesh, starts, ends, threads=1)
    first = first_hits(mesh, starts, ends - starts, threads=1)
    assert 0.05 < alone.mean() < 0.95
    for threads in (2, 5, None):
        assert hidden(mesh, starts, ends, threads=threads).tobytes() == alone.tobytes()
        again = first_hits(mesh, starts, ends - starts, threads=threads)
        assert all(one.tobytes() == two.tobytes() for one, two in zip(first, again, strict=True))


def test_inside_of_bodies() -> None:
    centres = np.array([[0, 0, 0], [1.5, 0, 0], [10, 0, 0]], dtype=float)  # two overlap
    mesh = Mesh.from_triangles(*mesh_shapes.boxes(centres, np.ones((3, 3)), np.tile(np.eye(3), (3, 1, 1))))
    places = np.random.default_rng(4).uniform([-2, -2, -2], [12, 2, 2], (3000, 3))
    within = (np.abs(places[:, None] - centres) < 1).all(axis=2).any(axis=1)
    assert [mesh_holds(mesh.arrays, *place) for place in places.tolist()] == within.tolist()
    surface = [(1.0, 5.0, 0.0), (0.0, 0.0, 1.0), (-1.0, -1.0, -1.0), (0.3, -0.2, -1.0)]
    assert not any(mesh_holds(mesh.arrays, *place) for place in surface)
    assert not mesh_holds(SHEET.arrays, 0.0, 0.0, -1e-3)


def deepest(mesh: Mesh) -> tuple[int, int]:
    """Levels of the tree, and the most nodes and blocks that can wait at once."""
    children = mesh.arrays.children.reshape(-1, BOXES)
    full = mesh.arrays.bounds.reshape(-1, NODE)[:, :BOXES] < 1e29
    level, waiting, todo = 0, 0, [(0, 1, 0)]
    while todo:
        node, depth, wait = todo.pop()
        family = children[node][full[node]].tolist()
        level, waiting = max(level, depth), max(waiting, wait + len(family))
        todo += [(child, depth + 1, wait + len(family) - 1) for child in family if child >= 0]
    return level, waiting


def test_the_tree_stays_shallow_whatever_the_triangles() -> None:
    """Sizes and places that halve again and again tempt the heuristic to cut one triangle off at a time."""
    scale = 2.0 ** -np.arange(0, 35, 0.01)[:, None, None]
    nested = (scale * [[1, 0, 0], [0, 1, 0], [0, 0, 1]]).reshape(-1, 3)
    same = np.tile([[0, 0, 0], [1, 0, 0], [0, 1, 0]], (5000, 1)) + np.repeat(np.arange(5000) * 1e-12, 3)[:, None]
    for vertices in (nested, same):
        mesh = Mesh.from_triangles(vertices, np.arange(len(vertices)).reshape(-1, 3))
        level, waiting = deepest(mesh)
        assert level <= DEEPEST + 24
        assert waiting < STACK // 2
        assert sorted(mesh.arrays.names[mesh.arrays.names >= 0].tolist()) == list(range(len(mesh)))
        assert hidden(mesh, [[0.2, 0.2, -1]], [[0.2, 0.2, 2]])[0]
    # By construction: a binary tree of DEEPEST cut levels, then halves of at most 2**24 triangles.
    assert (DEEPEST + 24) * (BOXES - 1) + BOXES <= STACK


def test_bad_rays() -> None:
    with pytest.raises(UsageError, match="ends_m has shape"):
        hidden(SHEET, [[0, 0, 0]], [[0, 0, 1], [0, 0, 2]])
    with pytest.raises(UsageError, match="not finite"):
        hidden(SHEET, [[0, 0, np.nan]], [[0, 0, 1]])
    with pytest.raises(LimitError, match="rays needs"):
        hidden(SHEET, np.broadcast_to(0.0, (10**9, 3)), np.broadcast_to(0.0, (10**9, 3)))
    assert hidden(SHEET, np.empty((0, 3)), np.empty((0, 3))).shape == (0,)
