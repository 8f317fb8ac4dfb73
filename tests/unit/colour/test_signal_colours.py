"""Distance to the boundary of regions, and lamps of a scene against their signal colours."""

from __future__ import annotations

import math

import numpy as np
import pytest

from scenelux.colour import Region, in_region, is_real_colour, lamp_colour, signal_regions
from scenelux.colour.margin import boundary_distance
from scenelux.colour.signals import check_signal_colours

REGIONS = {region.id: region for region in signal_regions()}


@pytest.mark.parametrize("region", signal_regions(), ids=lambda region: region.id)
def test_nothing_changes_nearer_than_the_boundary(region: Region) -> None:
    rng = np.random.default_rng(7)
    points = rng.uniform((0.02, 0.02), (0.72, 0.8), (24, 2))
    for x, y in points[[is_real_colour(*point) for point in points]]:
        off, inside = boundary_distance(x, y, region), in_region(x, y, region)
        assert (off > 0.0) == inside
        for turn in np.linspace(0.0, 2.0 * np.pi, 37):
            near = x + 0.98 * abs(off) * np.cos(turn), y + 0.98 * abs(off) * np.sin(turn)
            assert in_region(*near, region) == inside


@pytest.mark.parametrize(
    ("region", "point", "distance"),
    [
        ("j578_white", (0.3127, 0.3290), 0.0027),  # x = 0.310
        ("j578_white", (0.490, 0.390), 0.008),  # y = 0.382, not the other lower limit
        ("j578_amber", (0.3127, 0.3290), -math.hypot(0.545 - 0.3127, 0.425 - 0.3290)),  # a corner
        ("j578_red", (0.690, 0.300), 0.01 / math.sqrt(2.0)),  # y = 0.980 - x
        ("j578_blue", (0.180, 0.260), -0.02),  # x = 0.160, above the inner corner
        ("cie_road_signal_red", (0.665, 0.330), -0.01),  # y = 0.320
    ],
)
def test_distances_by_hand(region: str, point: tuple[float, float], distance: float) -> None:
    assert boundary_distance(*point, REGIONS[region]) == pytest.approx(distance, abs=1e-4)


def test_what_is_no_light_has_no_distance() -> None:
    assert math.isnan(boundary_distance(0.05, 0.05, REGIONS["j578_red"]))


def test_lamps_of_a_scene() -> None:
    lamps = {
        "beacon": lamp_colour("amber", chromaticity_xy=(0.575, 0.420)),
        "tail": lamp_colour("red", chromaticity_xy=(0.575, 0.420)),
        "flood": lamp_colour("white 5000 K"),
        "word": lamp_colour("amber"),
        "bare": None,
    }
    rows = {(row.lamp, row.region.id if row.region else ""): row for row in check_signal_colours(lamps)}
    assert rows["beacon", "j578_amber"].verdict == "inside" and rows["tail", "j578_red"].verdict == "outside"
    assert rows["flood", "j578_white"].verdict == "not known" and rows["flood", "j578_white"].distance > 0.0
    assert rows["word", "j578_amber"].distance is None and rows["bare", ""].verdict == "not known"
    asked = check_signal_colours({"beacon": lamps["beacon"]}, {"beacon": "red"})
    assert {row.verdict for row in asked} == {"outside"} and all(row.colour == "red" for row in asked)
