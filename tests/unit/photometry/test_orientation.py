from __future__ import annotations

import numpy as np
import pytest

from scenelux.errors import DocumentError
from scenelux.photometry import (
    IntensityDistribution,
    Opening,
    Orientation,
    angles,
    candela_in_vehicle_convention,
    default_orientation,
    direction,
    opening_in_lamp,
    parse_orientation,
    polar_table,
)

ODD = Orientation((0.3, 0.2, -0.8), (0.1, 1.0, 0.2))


def random_lamp(kind: str, seed: int, closed_v: bool = True) -> IntensityDistribution:
    rng = np.random.default_rng(seed)
    if kind == "C":
        h = np.concatenate(([0.0], np.sort(rng.uniform(1, 359, 9)), [360.0]))
        v = np.concatenate(([0.0], np.sort(rng.uniform(1, 179, 12)), [180.0 if closed_v else 179.5]))
    else:
        h = np.concatenate(([-90.0], np.sort(rng.uniform(-89, 69, 9)), [90.0 if closed_v else 70.0]))
        v = np.concatenate(([-90.0 if closed_v else -60.0], np.sort(rng.uniform(-59, 89, 12)), [90.0]))
    candela = rng.uniform(0, 1000, (h.size, v.size))
    if kind == "C":
        candela[-1] = candela[0]
    return IntensityDistribution(kind, h, v, candela)


def directions(count: int = 20_000) -> np.ndarray:
    d = np.random.default_rng(11).normal(size=(count, 3))
    return d / np.linalg.norm(d, axis=1, keepdims=True)


@pytest.mark.parametrize("closed", [True, False])
@pytest.mark.parametrize("mounted", ["usual", "odd"])
@pytest.mark.parametrize("kind", ["A", "B", "C"])
def test_the_polar_table_is_the_distribution(kind: str, mounted: str, closed: bool) -> None:
    lamp = random_lamp(kind, 7, closed)
    orientation = default_orientation(kind) if mounted == "usual" else ODD
    table = polar_table(lamp, orientation)
    d = directions()
    assert table.intensity(d) == pytest.approx(lamp.intensity(orientation.to_photometric(d)), abs=1e-9)


@pytest.mark.parametrize("kind", ["A", "B", "C"])
def test_the_polar_table_is_what_an_engine_may_expect(kind: str) -> None:
    table = polar_table(random_lamp(kind, 8), ODD)
    assert np.linalg.det(table.axes) == pytest.approx(1.0)
    assert (np.diff(table.azimuth_deg) > 0).all() and (np.diff(table.polar_deg) > 0).all()
    assert table.azimuth_deg[0] >= 0 and table.azimuth_deg[-1] <= 360
    assert table.polar_deg[0] >= 0 and table.polar_deg[-1] <= 180
    assert table.candela.shape == (table.azimuth_deg.size, table.polar_deg.size)
    assert not table.candela.flags.writeable
    if kind == "C":
        assert (table.azimuth_deg[0], table.azimuth_deg[-1]) == (0, 360)


@pytest.mark.parametrize(
    ("kind", "h", "v", "forward_left_up"),
    [
        ("C", 0, 0, (1, 0, 0)),
        ("C", 0, 90, (0, -1, 0)),
        ("C", 90, 90, (0, 0, 1)),
        ("B", 0, 0, (1, 0, 0)),
        ("B", 90, 0, (0, -1, 0)),
        ("B", 0, 90, (0, 0, 1)),
        ("A", 0, 0, (1, 0, 0)),
        ("A", 90, 0, (0, -1, 0)),
        ("A", 0, 90, (0, 0, 1)),
    ],
)
def test_usual_mounting_right_is_right_and_up_is_up(
    kind: str, h: float, v: float, forward_left_up: tuple[float, float, float]
) -> None:
    x, y, z = np.array(default_orientation(kind).axes_in_lamp())
    p = direction(kind, h, v)
    assert p[0] * x + p[1] * y + p[2] * z == pytest.approx(forward_left_up, abs=1e-12)


def test_one_lamp_as_a_b_and_c_is_the_same_lamp() -> None:
    """A smooth lamp, tabled in each type, gives the same intensity in every direction of the lamp."""

    def candela(d: np.ndarray) -> np.ndarray:  # lamp axes, wider to the right and upwards, nothing behind
        f, left, up = d[..., 0], d[..., 1], d[..., 2]
        return np.where(f > 0, 1000 * np.maximum(f, 0) ** 3 * (1.3 - 0.5 * left + 0.4 * up + 0.3 * left * up), 0.0)

    d = directions()
    grids = {"C": (np.linspace(0, 360, 361), np.linspace(0, 180, 361))}
    grids["A"] = grids["B"] = (np.linspace(-90, 90, 361), np.linspace(-90, 90, 361))
    for kind, (h, v) in grids.items():
        usual = default_orientation(kind)
        in_lamp = direction(kind, h[:, None], v[None, :]) @ np.array(usual.axes_in_lamp())
        table = candela(in_lamp)
        if kind == "C":
            table[-1] = table[0]
        lamp = IntensityDistribution(kind, h, v, table)
        assert polar_table(lamp, usual).intensity(d) == pytest.approx(candela(d), abs=0.25)


def test_a_type_b_lamp_rewritten_as_type_c_keeps_its_attitude_with_top_c_0() -> None:
    """The V = 90 pole of type B is the C = 0 direction of type C, in the frame of the files."""
    lamp = random_lamp("B", 3)
    usual, turned = default_orientation("B"), parse_orientation("C", "gamma 0", "C 0")
    d = directions(500)
    as_b = angles("B", usual.to_photometric(d))
    c, gamma = angles("C", turned.to_photometric(d))
    assert direction("C", c, gamma) == pytest.approx(direction("B", *as_b), abs=1e-12)
    assert lamp.intensity(direction("C", c, gamma)) == pytest.approx(lamp.intensity(usual.to_photometric(d)), rel=1e-9)


def test_a_type_a_lamp_rewritten_as_type_c_has_its_beam_at_c_0_gamma_90() -> None:
    usual, turned = default_orientation("A"), parse_orientation("C", "C 0 gamma 90", "gamma 180")
    assert np.array(turned.axes_in_lamp()) == pytest.approx(np.array(usual.axes_in_lamp()), abs=1e-12)


@pytest.mark.parametrize(
    ("kind", "face", "top", "key"),
    [
        ("C", "C 0 gamma 90", "C 0", "top"),
        ("C", "H 0 V 0", None, "face"),
        ("C", "gamma 40", None, "face"),
        ("C", "", None, "face"),
        ("B", "right", None, "face"),
        ("C", None, "gamma 0", "top"),
        ("C", "C 0 gamma nan", None, "face"),
    ],
)
def test_words_that_name_no_mounting(kind: str, face: str | None, top: str | None, key: str) -> None:
    with pytest.raises(DocumentError) as caught:
        parse_orientation(kind, face, top)
    assert caught.value.key == key


def test_words_in_h_and_v() -> None:
    assert parse_orientation("A", "H 0 V 0", "H 0 V 90") == default_orientation("A")
    assert parse_orientation("B", "H 0 V 0", "H 0 V 90") == default_orientation("B")


def test_vehicle_convention_c_0_is_right_and_c_90_is_up() -> None:
    lamp = IntensityDistribution("A", [-90, 0, 90], [-90, 0, 90], [[0, 1, 0], [2, 9, 3], [0, 4, 0]])
    usual = default_orientation("A")
    found = candela_in_vehicle_convention(lamp, usual, [0, 90, 180, 270, 77], [90, 90, 90, 90, 0])
    assert found.tolist() == pytest.approx([4, 3, 1, 2, 9])


@pytest.mark.parametrize(
    ("kind", "across_up_depth"), [("C", (0.2, 0.3, 0.05)), ("B", (0.3, 0.2, 0.05)), ("A", (0.3, 0.05, 0.2))]
)
def test_opening_lies_along_its_own_axes(kind: str, across_up_depth: tuple[float, float, float]) -> None:
    """Length along the 0-degree plane: left-right for type C, up-down for type B, along the beam for type A."""
    opening = Opening("rectangle", length_m=0.2, width_m=0.3, height_m=0.05, solid="box")
    lamp = opening_in_lamp(opening, default_orientation(kind))
    assert lamp.across_up_depth_m == pytest.approx(across_up_depth)
    assert np.abs(lamp.axes[2] @ (1, 0, 0)) == pytest.approx(1)
    assert not lamp.is_round
