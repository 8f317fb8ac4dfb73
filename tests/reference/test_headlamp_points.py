"""The demonstration low beam at the test points of a lower beam, by the look-up that every study uses."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from scenelux.photometry import IntensityDistribution, read_lm63
from scenelux.photometry.hv.notation import angle_of
from scenelux.shipped import shipped

ROWS: list[dict[str, Any]] = tomllib.loads((shipped("shared") / "headlamps.toml").read_text())["lower_beam"]
LAMP = read_lm63(shipped("luminaires").joinpath("headlamp-low.ies").read_bytes()).distribution
PUBLISHED = {(("90L", "90R"), ("10U", "90U")): (None, 125)}
FROM_MEMORY = {
    (("90L", "1.5L"), "0.5U"): (None, 1000), (("1R", "3R"), "0.5U"): (500, 2700), (("90L", "1.5L"), "1U"): (None, 700),
    (("1R", "90R"), "1.5U"): (None, 1400), ("1.3R", "0.6D"): (10000, None), ("V", "0.86D"): (4500, None),
    ("3.5L", "0.86D"): (1800, 12000), ("2R", "1.5D"): (15000, None), ("9L", "2D"): (1250, None),
    ("9R", "2D"): (1250, None), ("15L", "2D"): (1000, None), ("15R", "2D"): (1000, None), ("4R", "4D"): (None, 12500),
    ("8L", "4U"): (64, None), ("8R", "4U"): (64, None), ("4L", "2U"): (135, None), ("4L", "H"): (135, None),
    ("8L", "H"): (64, None),
}  # fmt: skip


def place(row: dict[str, Any]) -> tuple[Any, Any]:
    h, v = (tuple(row[key]) if isinstance(row[key], list) else row[key] for key in "hv")
    return h, v


def angles(text: str | tuple[str, str], axis: Any, nodes: np.ndarray) -> np.ndarray:
    """The angle, or the ends of a range and every node of the table between: a bilinear table is highest at one."""
    if isinstance(text, str):
        return np.array([angle_of(text, axis)], dtype=float)
    low, high = (angle_of(end, axis) for end in text)
    assert low is not None and high is not None and low < high
    return np.array([low, *nodes[(nodes > low) & (nodes < high)], high])


def darkest_and_brightest(lamp: IntensityDistribution, row: dict[str, Any]) -> tuple[float, float]:
    h, v = place(row)
    across, up = angles(h, "H", lamp.horizontal_deg), angles(v, "V", lamp.vertical_deg)
    candela = lamp.candela_at(*np.meshgrid(across, up))
    return float(candela.min()), float(candela.max())


def test_the_shared_rows_are_those_written_here() -> None:
    found = {place(row): (row.get("at_least_cd"), row.get("at_most_cd"), row["status"]) for row in ROWS}
    assert len(found) == len(ROWS) == 19
    assert {key: value[:2] for key, value in found.items() if value[2] == "published"} == PUBLISHED
    assert {key: value[:2] for key, value in found.items() if value[2] == "unconfirmed"} == FROM_MEMORY


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['v']} {row['h']}")
def test_the_demonstration_low_beam_meets_every_row(row: dict[str, Any], agreement: Callable[..., None]) -> None:
    """How far the lamp is beyond the limit is 0, or the row is missed."""
    h, v = ("-".join(end) if isinstance(end, tuple) else end for end in place(row))
    darkest, brightest = darkest_and_brightest(LAMP, row)
    for limit, ours, words in ((row.get("at_least_cd"), darkest, ">="), (row.get("at_most_cd"), brightest, "<=")):
        if limit is not None:
            beyond = max(limit - ours, 0.0) if words == ">=" else max(ours - limit, 0.0)
            name = f"low beam {v}, {h} {words} {limit} cd: {ours:.0f}, misses by"
            agreement(name, 0.0, beyond, row["source"], row["status"], 0.0)


def test_a_lamp_that_misses_is_found() -> None:
    glaring = IntensityDistribution(LAMP.photometric_type, LAMP.horizontal_deg, LAMP.vertical_deg, LAMP.candela + 126.0)
    published = next(row for row in ROWS if row["status"] == "published")
    assert darkest_and_brightest(glaring, published)[1] > 125.0 > darkest_and_brightest(LAMP, published)[1]


def test_the_card_says_which_points_it_meets() -> None:
    card = shipped("luminaires").joinpath("headlamp-low.toml").read_text()
    assert "10U-90U" in card and f"{len(FROM_MEMORY)} more test points from memory, unconfirmed" in card
    assert tomllib.loads(card)["source"]["status"] == "invented"
