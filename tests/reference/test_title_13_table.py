"""Test points of a published rule as an H-V table of required minima.

California Code of Regulations, Title 13, section 817, Table I, minimum candela of steady lamps, classes A and B in red;
published, the rows that were available. Points to the left and to the right have the same minimum.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from scenelux.photometry.hv.notation import point_of
from scenelux.photometry.hv.read import read_hv_table

SOURCE = "California Title 13 s. 817, Table I"
ROWS = {
    "10U-V": (15, 50), "10U-5": (15, 20), "5U-V": (80, 150), "5U-5": (50, 100), "5U-10": (25, 50), "5U-20": (10, 20),
    "H-10L": (300, 75), "H-20L": (30, 30),
}  # fmt: skip


def points(column: int) -> dict[str, float]:
    found = {}
    for name, minima in ROWS.items():
        for side in ("L", "R") if name[-1].isdigit() else ("",):
            found[f"{name}{side}"] = float(minima[column])
    return found


def table(column: int) -> bytes:
    lines = [f"{name};{minimum:g}" for name, minimum in points(column).items()]
    return "\n".join(("# basis: required minimum", "point;cd", *lines)).encode()


@pytest.mark.parametrize("column", [0, 1], ids=["class A", "class B"])
def test_every_minimum_is_kept_at_its_point(column: int, agreement: Callable[..., None]) -> None:
    file = read_hv_table(table(column), "title-13.csv")
    assert file.basis == "required minimum" and len(file.points) == 12
    for name, minimum in points(column).items():
        ours = float(file.distribution.candela_at(*point_of(name)))
        agreement(f"minimum at {name}, red class {'AB'[column]} [cd]", minimum, ours, SOURCE, "published", 1e-9)


def test_between_the_points(agreement: Callable[..., None]) -> None:
    lamp = read_hv_table(table(0)).distribution
    worked = {
        "5U-15R, half way from 10R to 20R": (15.0, 5.0, (25 + 10) / 2),
        "7.5U-V, half way from 5U to 10U": (0.0, 7.5, (80 + 15) / 2),
        "2.5U-15L, the middle of four points": (-15.0, 2.5, (300 + 30 + 25 + 10) / 4),
    }
    for name, (h, v, expected) in worked.items():
        source = "calculated from the stated interpolation"
        agreement(f"red class A at {name} [cd]", expected, float(lamp.candela_at(h, v)), source, "calculated", 1e-9)
    assert float(lamp.candela_at(0, 10.1)) == float(lamp.candela_at(-21, 5)) == 0.0
