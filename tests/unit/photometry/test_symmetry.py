"""Every way in which LM-63 leaves planes out, unfolded and compared with a lookup written in words."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from scenelux.errors import PhotometricError
from scenelux.photometry import IntensityDistribution, flux_lm, read_lm63

Write = Callable[..., bytes]
V = np.array([0, 20.0, 50.0, 90.0])


def value(h: float, v: float) -> float:
    """Something different at every angle, always above 0."""
    return round(100 + 3 * h + 0.7 * v + (h * v) % 17, 3)


def read(lm63: Write, h: list[float], first: str = "IESNA:LM-63-2002", kind: str = "1", v: list[float] | None = None):
    v = V.tolist() if v is None else v
    rows = "\n".join(" ".join(str(value(a, b) + 1000) for b in v) for a in h)
    return read_lm63(lm63(first=first, kind=kind, h=" ".join(map(str, h)), v=" ".join(map(str, v)), candela=rows))


def interpolated(h: list[float], wanted: float, v: float) -> float:
    i = max(0, min(int(np.searchsorted(h, wanted, side="right")) - 1, len(h) - 2))
    t = (wanted - h[i]) / (h[i + 1] - h[i])
    return (1 - t) * (value(h[i], v) + 1000) + t * (value(h[i + 1], v) + 1000)


def quadrant(c: float) -> float:
    c = c % 180
    return 180 - c if c > 90 else c


def half(c: float) -> float:
    return 360 - c if c > 180 else c


def sideways(c: float) -> float:
    return c if 90 <= c <= 270 else (180 - c) % 360


LOOKUPS: list[tuple[str, list[float], Callable[[float], float], str]] = [
    ("quadrants", [0, 7, 40, 90], quadrant, "quadrants"),
    ("half, equal steps", [0, 45, 90, 135, 180], half, "mirrored in the plane 0-180"),
    ("half, unequal steps", [0, 5, 100, 120, 180], half, "mirrored in the plane 0-180"),
    ("90 to 270", [90, 100, 180, 200, 270], sideways, "mirrored in the plane 90-270"),
    ("90 to 270 without 180", [90, 170, 210, 270], sideways, "mirrored in the plane 90-270"),
]


@pytest.mark.parametrize(("name", "h", "lookup", "words"), LOOKUPS, ids=[row[0] for row in LOOKUPS])
def test_mirrors_by_angle(lm63: Write, name: str, h: list[float], lookup: Callable[[float], float], words: str) -> None:
    file = read(lm63, h, first="IESNA:LM-63-1995")
    assert file.symmetry == words
    assert not [one for one in file.warnings if one.code == 36]
    assert (file.distribution.horizontal_deg[0], file.distribution.horizontal_deg[-1]) == (0, 360)
    for c in np.linspace(0, 359.5, 144):
        for v in V:
            expected = interpolated(h, lookup(float(c)), float(v))
            assert float(file.distribution.candela_at(c, v)) == pytest.approx(expected, rel=1e-12), (name, c, v)


def test_the_flux_of_a_part_is_counted_as_often_as_it_repeats(lm63: Write) -> None:
    for h, times in (([0, 7, 40, 90], 4), ([0, 5, 100, 180], 2), ([90, 100, 180, 270], 2)):
        whole = flux_lm(read(lm63, h, first="IESNA:LM-63-1995").distribution)
        part = sum(
            (h[i + 1] - h[i]) / 360 * flux_lm(IntensityDistribution("C", [0, 360], V, np.tile(mean(h, i), (2, 1))))
            for i in range(len(h) - 1)
        )
        assert whole == pytest.approx(times * part, rel=1e-12)


def mean(h: list[float], i: int) -> list[float]:
    return [0.5 * (value(h[i], v) + value(h[i + 1], v)) + 1000 for v in V.tolist()]


def test_rotational(lm63: Write) -> None:
    file = read(lm63, [0])
    assert file.symmetry == "rotational"
    assert file.distribution.horizontal_deg.tolist() == [0, 360]
    assert float(file.distribution.candela_at(217, 20)) == pytest.approx(value(0, 20) + 1000)


def test_whole_circle_plane_0_rules_at_360(lm63: Write) -> None:
    file = read(lm63, [0, 90, 180, 270, 360])
    assert file.symmetry == "none"
    assert file.distribution.candela[-1].tolist() == file.distribution.candela[0].tolist()
    assert float(file.distribution.candela_at(270, 0)) == pytest.approx(value(270, 0) + 1000)


def test_open_circle_is_closed_with_plane_0(lm63: Write) -> None:
    file = read(lm63, [0, 90, 180, 270])
    assert 34 in {one.code for one in file.warnings}
    assert float(file.distribution.candela_at(315, 0)) == pytest.approx((value(270, 0) + value(0, 0)) / 2 + 1000)


@pytest.mark.parametrize("kind", ["2", "3"])
def test_types_a_and_b_both_mirrors(lm63: Write, kind: str) -> None:
    file = read(lm63, [0, 30, 90], kind=kind, v=[0, 10, 90])
    assert file.symmetry == "mirrored in H and mirrored in V"
    for h, v in ((-30, 10), (30, -10), (-30, -10), (90, -90), (0, 0)):
        assert float(file.distribution.candela_at(h, v)) == pytest.approx(value(abs(h), abs(v)) + 1000)
    assert file.distribution.photometric_type == {"2": "B", "3": "A"}[kind]


@pytest.mark.parametrize("kind", ["2", "3"])
def test_types_a_and_b_without_symmetry(lm63: Write, kind: str) -> None:
    file = read(lm63, [-90, -20, 90], kind=kind, v=[-90, 5, 90])
    assert file.symmetry == "none"
    assert float(file.distribution.candela_at(-20, 5)) == pytest.approx(value(-20, 5) + 1000)


@pytest.mark.parametrize("kind", ["2", "3"])
def test_types_a_and_b_mirrored_in_v_alone(lm63: Write, kind: str) -> None:
    file = read(lm63, [-90, -20, 90], kind=kind, v=[0, 5, 90])
    assert file.symmetry == "none and mirrored in V"
    assert float(file.distribution.candela_at(-20, -5)) == pytest.approx(value(-20, 5) + 1000)


@pytest.mark.parametrize(("h", "inside"), [([-40, 0, 40], True), ([0, 25, 40], True)])
def test_types_a_and_b_over_a_part(lm63: Write, h: list[float], inside: bool) -> None:
    file = read(lm63, h, kind="2", v=[-90, 5, 90])
    assert 38 in {one.code for one in file.warnings}
    assert file.distribution.candela_at([40, -40, 41, -41], 5).tolist()[2:] == [0, 0]
    assert float(file.distribution.candela_at(-40, 5)) > 0


@pytest.mark.parametrize(
    ("kind", "h"),
    [
        ("1", [0, 60, 120]),
        ("1", [30, 90]),
        ("1", [45]),
        ("1", [0, 380]),
        ("1", [-90, 0, 90]),
        ("1", [0, 90, 180, 200]),
        ("2", [0]),
        ("2", [-120, 120]),
        ("2", [-40, 90]),
        ("3", [10, 90]),
    ],
)
def test_ranges_that_mean_nothing(lm63: Write, kind: str, h: list[float]) -> None:
    with pytest.raises(PhotometricError) as caught:
        read(lm63, h, kind=kind, v=[0, 45, 90])
    assert caught.value.code == 38
    assert caught.value.line == 10  # the line of the horizontal angles


def test_end_angles_match_within_a_twentieth_of_a_degree(lm63: Write) -> None:
    file = read(lm63, [0.02, 45, 89.96], v=[0.04, 30, 179.97])
    assert file.symmetry == "quadrants"
    assert (file.distribution.vertical_deg[0], file.distribution.vertical_deg[-1]) == (0, 180)
