"""The crew belongs to its truck: what it sees and how it is lit turns, moves and fades as it should."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scenelux.engine import Contributions
from scenelux.placement import area_points, place
from scenelux.scene.model import SceneDocument
from scenelux.scene.read import read_scene
from scenelux.study.areas import light_area
from scenelux.study.crew.glare import crew_eyes
from scenelux.study.crew.people import light_people
from scenelux.study.crew.standing import standing_places
from scenelux.study.results import CrewEye, PersonLight, StandingPlaces
from scenelux.study.simulate import levels_of, simulate
from tests.driver_scenes import driver_scene

SCENE = read_scene("causeway-truck")
CASE = ("working", "night")


def posed(**pose: object) -> SceneDocument:
    """The truck with its crew on level ground, with what belongs to it and nothing else."""
    level = SCENE.site.model_copy(update={"grade": 0.0, "crossfall": 0.0})
    truck = SCENE.vehicles[0].model_copy(update=pose)
    own = tuple(item for item in SCENE.objects if item.of == "truck")
    return SCENE.model_copy(update={"vehicles": (truck,), "site": level, "objects": own, "eyes": ()})


def found(scene: SceneDocument) -> tuple[tuple[CrewEye, ...], tuple[PersonLight, ...], tuple[StandingPlaces, ...]]:
    placed, store = place(scene), Contributions()
    levels = {CASE: levels_of(placed)[CASE]}
    grids = [area_points(placed.vehicles, placed.ground, area) for area in scene.areas if area.of == "truck"]
    lit = [(grid, light_area(placed, grid, levels, {}, store)) for grid in grids]
    return (
        crew_eyes(placed, lit, levels, store),
        light_people(placed, levels, store),
        standing_places(placed, grids, levels, store),
    )


@settings(max_examples=4, deadline=None, derandomize=True)
@given(st.floats(-180, 180), st.floats(-50, 50), st.floats(-50, 50))
def test_turning_and_moving_the_truck_with_its_crew_changes_nothing(heading: float, along: float, left: float) -> None:
    still, moved = found(posed()), found(posed(heading_deg=heading, position_m=(along, left)))
    for before, after in zip(still[0], moved[0], strict=True):
        (a,), (b,) = before.entries, after.entries
        assert b.surroundings_lx == pytest.approx(a.surroundings_lx, rel=1e-6)
        np.testing.assert_allclose(b.rating_by_view, a.rating_by_view, atol=1e-5)
        for one, other in zip(a.gazes, b.gazes, strict=True):
            assert other.eye_illuminance_lx == pytest.approx(one.eye_illuminance_lx, rel=1e-6, abs=1e-9)
            assert other.veil_cd_m2 == pytest.approx(one.veil_cd_m2, rel=1e-6, abs=1e-9)
            assert (other.brightest is None) == (one.brightest is None)
            if one.brightest and other.brightest:
                assert other.brightest.luminance_cd_m2 == pytest.approx(one.brightest.luminance_cd_m2, rel=1e-6)
    for lit, turned in zip(still[1], moved[1], strict=True):
        assert turned.entries[0].illuminance_lx == pytest.approx(lit.entries[0].illuminance_lx, rel=1e-6, abs=1e-6)
    for place_, other_ in zip(still[2], moved[2], strict=True):
        assert other_.valid_places == place_.valid_places
        assert other_.entries[0].torso_lx == pytest.approx(place_.entries[0].torso_lx, rel=1e-6, abs=1e-6)


def test_a_person_behind_a_body_gets_no_light_and_no_glare(tmp_path: Path) -> None:
    wall = '[[vehicles]]\nid = "wall"\nbodies = [{ id = "w", forward = [-3, -2.8], left = [-8, 8], up = [0, 5] }]\n'
    anna = '{ id = "anna", of = "truck", position = [-5, 0.5] }'
    open_, shut = (simulate(driver_scene(tmp_path, people=anna, more=more)).variants[0] for more in ("", wall))
    assert max(open_.people[0].entries[0].illuminance_lx) > 50
    assert set(shut.people[0].entries[0].illuminance_lx) == {0.0}
    assert open_.crew[0].entries[0].worst is not None and shut.crew[0].entries[0].worst is None
    assert all(one.eye_illuminance_lx == 0.0 and one.brightest is None for one in shut.crew[0].entries[0].gazes)


def test_the_rating_rises_as_the_lamps_are_tilted_up(tmp_path: Path) -> None:
    """Less light on the ground around her, and more in her eyes."""
    anna = '{ id = "anna", of = "truck", position = [-7, 0.5] }'
    rear = '[[areas]]\nid = "rear"\nof = "truck"\nforward = [-9, 0]\nleft = [-2, 2]\nplane = "horizontal"\n'
    ratings, veils = [], []
    for tilt in (-60, -45, -30, -15, 0):
        eye = simulate(driver_scene(tmp_path, people=anna, tilt=tilt, more=rear)).variants[0].crew[0]
        worst = eye.entries[0].worst
        assert worst is not None
        ratings.append(worst.glare_rating)
        veils.append(eye.entries[0].gazes[1].veil_cd_m2)
    assert ratings == sorted(ratings) and ratings[-1] > ratings[0] + 20
    assert veils == sorted(veils)


def test_dimming_all_lamps_alike_hardly_changes_the_rating(tmp_path: Path) -> None:
    """24 log10(k / k^0.9): a tenth of the light is 2.4 lower."""
    anna, half = '{ id = "anna", of = "truck", position = [-5, 0.5] }', '[light.dim]\nsay = "d"\nambient = 0\n'
    half += 'adaptation_luminance = "0.1 cd/m2"\nfactors = { tail = 0.1 }\n'
    entries = simulate(driver_scene(tmp_path, people=anna, more=half)).variants[0].crew[0].entries
    by_light = {entry.light: entry.rating_by_view for entry in entries}
    seen = np.isfinite(by_light["night"])
    np.testing.assert_allclose(by_light["night"][seen] - by_light["dim"][seen], 2.4, atol=1e-9)
