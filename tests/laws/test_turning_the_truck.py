"""Turning or moving the truck on level ground turns and moves its light, through the whole road from the document."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scenelux.engine import Contributions
from scenelux.engine.illuminance import Precision
from scenelux.placement import area_points, place
from scenelux.scene.model import SceneDocument
from scenelux.scene.read import read_scene
from scenelux.study.areas import light_area

TOLERANCES: list[tuple[Precision, float]] = [("exact", 1e-9), ("fast", 1e-5)]
"""How much the light may change, as a part of the largest value."""

SCENE = read_scene("causeway-truck")


def lit(scene: SceneDocument, precision: Precision = "exact") -> list[np.ndarray]:
    """By lamp, on every area that belongs to the truck."""
    placed = place(scene)
    areas = [area_points(placed.vehicles, placed.ground, area) for area in scene.areas if area.of == "truck"]
    return [light_area(placed, area, {}, {}, Contributions(precision=precision)).by_lamp_lx for area in areas]


def posed(**pose: object) -> SceneDocument:
    """The truck alone: people and things around it would not turn with it."""
    level = SCENE.site.model_copy(update={"grade": 0.0, "crossfall": 0.0})
    truck = SCENE.vehicles[0].model_copy(update=pose)
    return SCENE.model_copy(update={"vehicles": (truck,), "site": level, "people": (), "objects": ()})


@pytest.mark.parametrize(("precision", "tolerance"), TOLERANCES)
@settings(max_examples=6, deadline=None, derandomize=True)
@given(st.floats(-180, 180), st.floats(-50, 50), st.floats(-50, 50))
def test_light_belongs_to_the_truck(
    precision: Precision, tolerance: float, heading: float, along: float, left: float
) -> None:
    still, moved = lit(posed(), precision), lit(posed(heading_deg=heading, position_m=(along, left)), precision)
    assert still
    for before, after in zip(still, moved, strict=True):
        assert np.isfinite(before).any()
        np.testing.assert_allclose(after, before, rtol=0.0, atol=tolerance * np.nanmax(before))


def test_an_inclined_site_tilts_the_truck_and_its_light_with_it() -> None:
    """On a uniform slope the truck stands as before on its pavement: pavement illuminance does not change."""
    slope = {"grade": 0.08, "crossfall": 0.0}
    areas = tuple(
        area.model_copy(update={"plane": "pavement"})
        for area in SCENE.areas
        if area.of == "truck" and area.on is None and area.plane == "horizontal" and area.height_m == 0.0
    )
    flat = posed().model_copy(update={"areas": areas})
    inclined = flat.model_copy(update={"site": flat.site.model_copy(update=slope)})
    for before, after, area in zip(lit(flat), lit(inclined), areas, strict=True):
        # Outlines are measured in plan, so that points lie a little farther apart along the slope.
        if np.nanmean(before) > 5.0:  # spill from behind an edge moves more
            assert np.nanmean(after) == pytest.approx(np.nanmean(before), rel=0.02), area.id
