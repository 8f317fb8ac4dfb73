"""Light on people and the worst place to stand, beside loops that move one person at a time."""

from __future__ import annotations

from dataclasses import replace
from math import cos, isnan, log, pi, radians, sin
from pathlib import Path

import numpy as np
import pytest

from scenelux.engine import Contributions, covered, illuminance
from scenelux.placement import PlacedPerson, PlacedScene, area_points, place, place_person
from scenelux.placement.boxes import blockers_of
from scenelux.scene.model import Person
from scenelux.study.crew.people import FEET_UP_M, light_people
from scenelux.study.crew.standing import standing_places, stands_on
from scenelux.study.results import PersonLight, StandingEntry, StandingPlaces
from scenelux.study.simulate import levels_of
from tests.driver_scenes import placed_scene

REAR = (
    '[[areas]]\nid = "rear"\nof = "truck"\nforward = [-6, 0]\nleft = [-2, 2]\nplane = "horizontal"\n'
    "grid = { spacing = 1 }\n"
)
ANNA = '{ id = "anna", of = "truck", position = [-5, 0.5], vest = "class 2" }'
POWER = log(0.5) / log(cos(radians(30)))
PEAK_CD = 4200 * (POWER + 1) / (2 * pi)
LAMPS = ((-0.1, 1.0, 2.4), (-0.1, -1.0, 2.4))
LOSS = 0.8


def lit(placed: PlacedScene) -> tuple[PersonLight, ...]:
    return light_people(placed, levels_of(placed), Contributions())


def on(person: PersonLight, part: str, side: str) -> float:
    entry = next(one for one in person.entries if one.light == "night")
    return next(
        lux for one, lux in zip(person.sides, entry.illuminance_lx, strict=True) if (one.part, one.side) == (part, side)
    )


def bare_lux(point: tuple[float, float, float], normal: tuple[float, float, float], tilt_deg: float = -20) -> float:
    """Of both floods, with nothing in the way."""
    beam, total = (-cos(radians(tilt_deg)), 0.0, sin(radians(tilt_deg))), 0.0
    for lamp in LAMPS:
        away = [a - b for a, b in zip(point, lamp, strict=True)]
        far = sum(part * part for part in away) ** 0.5
        along = sum(a * b for a, b in zip(away, beam, strict=True)) / far
        facing = -sum(a * b for a, b in zip(away, normal, strict=True)) / far
        total += PEAK_CD * max(0.0, along) ** POWER * max(0.0, facing) / far**2
    return total


def test_each_side_is_the_mean_of_the_formula_over_it(tmp_path: Path) -> None:
    """Anna faces the truck five metres away: her front is lit, her left and right a little, her back not at all."""
    (anna,) = lit(placed_scene(tmp_path, people=ANNA))
    tall, ahead, aside = 1.75, -5.0, 0.5
    thirds = (-1 / 3, 0.0, 1 / 3)
    torso = [
        (ahead + 0.07 * tall, aside + 0.26 * tall * across, (0.645 + 0.35 * up) * tall)
        for across in thirds
        for up in thirds
    ]
    front = sum(bare_lux(point, (1, 0, 0)) for point in torso) / 9
    assert on(anna, "torso", "front") == pytest.approx(LOSS * front, rel=2e-3)
    face = [
        (ahead + 0.055 * tall, aside + 0.09 * tall * across, (0.91 + 0.18 * up) * tall)
        for across in thirds
        for up in thirds
    ]
    assert on(anna, "face", "front") == pytest.approx(LOSS * sum(bare_lux(p, (1, 0, 0)) for p in face) / 9, rel=2e-3)
    feet = [
        (ahead + 0.06 * tall, aside + side * 0.055 * tall + 0.09 * tall * across, FEET_UP_M * (0.5 + up))
        for side in (-1, 1)
        for across in thirds
        for up in thirds
    ]
    assert on(anna, "feet", "front") == pytest.approx(LOSS * sum(bare_lux(p, (1, 0, 0)) for p in feet) / 18, rel=2e-3)
    assert on(anna, "torso", "rear") == on(anna, "feet", "rear") == 0.0
    assert (
        0 < on(anna, "torso", "left") < on(anna, "torso", "right")
    )  # more of the way to the right lamp is to her right
    assert (anna.says, anna.position_m) == ("standing, dark coat or denim, vest class 2", pytest.approx((-5, 0.5, 0)))


def test_a_neighbour_takes_the_light(tmp_path: Path) -> None:
    (alone,) = lit(placed_scene(tmp_path, people=ANNA))
    before = ANNA.replace("anna", "ben").replace("[-5, 0.5]", "[-4.3, 0.5]")
    anna, ben = lit(placed_scene(tmp_path, people=f"{ANNA}, {before}"))
    assert on(anna, "feet", "front") < 0.5 * on(alone, "feet", "front")
    assert on(ben, "torso", "front") > on(alone, "torso", "front")


def test_a_side_inside_a_body_has_no_value(tmp_path: Path) -> None:
    (stuck,) = lit(placed_scene(tmp_path, people=ANNA.replace("[-5, 0.5]", "[-0.05, 0.5]")))
    assert isnan(on(stuck, "torso", "front")) and not isnan(on(stuck, "torso", "rear"))
    assert "torso front" in stuck.entries[0].notes[0]


def test_every_pose_has_all_sides(tmp_path: Path) -> None:
    for pose in ("standing", "walking", "crouching"):
        (one,) = lit(placed_scene(tmp_path, people=ANNA.replace("vest", f'pose = "{pose}", vest')))
        assert [(side.part, side.side) for side in one.sides] == [
            ("face", "front"), *(("torso", side) for side in ("front", "rear", "left", "right")),
            *(("feet", side) for side in ("front", "rear", "left", "right")),
        ]  # fmt: skip


def places(placed: PlacedScene) -> tuple[StandingPlaces, ...]:
    grids = [area_points(placed.vehicles, placed.ground, area) for area in placed.scene.areas]
    return standing_places(placed, grids, levels_of(placed), Contributions())


def night(one: StandingPlaces) -> StandingEntry:
    return next(entry for entry in one.entries if entry.light == "night")


def one_by_one(placed: PlacedScene) -> list[tuple[float, PlacedPerson]]:
    """Mean over the torso's sides with a real person at each place, one after the other."""
    points, found = area_points(placed.vehicles, placed.ground, placed.scene.areas[0]), []
    for along, left, _ in points.points_m.tolist():
        person = place_person(Person(id="moved", position=(along, left)), placed.vehicles, placed.ground)
        sides = [patch for patch in person.patches if patch.part == "torso" and patch.side != "top"]
        others = blockers_of([*placed.boxes, *person.boxes])
        lux = [float(illuminance(placed.lamps, others, [side.centre_m], side.normal).sum()) * LOSS for side in sides]
        feet = np.array([(*side.centre_m[:2], 0.0) for side in sides])
        if not covered(placed.blockers_with_people, np.vstack((feet, [person.foot_m])), 0.0).any():
            found.append((sum(lux) / 4, person))
    return found


@pytest.mark.parametrize("people", ["", ANNA.replace("[-5, 0.5]", "[-3.5, 0.5]")])
def test_the_worst_place_is_the_least_of_all_places_tried_one_by_one(tmp_path: Path, people: str) -> None:
    placed = placed_scene(tmp_path, people=people, more=REAR)
    (found,), tried = places(placed), one_by_one(placed)
    worst, best = min(tried, key=lambda one: one[0]), max(tried, key=lambda one: one[0])
    assert (found.valid_places, found.all_places) == (len(tried), 24) and len(tried) == (23 if people else 24)
    assert night(found).torso_lx == pytest.approx(worst[0], rel=1e-6)
    assert night(found).place_m == pytest.approx(worst[1].foot_m)
    assert night(found).best_torso_lx == pytest.approx(best[0], rel=1e-6)
    assert found.torso_up_m == pytest.approx(0.645 * 1.75)


def test_behind_a_colleague_it_is_dark(tmp_path: Path) -> None:
    (alone,) = places(placed_scene(tmp_path, more=REAR))
    (shaded,) = places(placed_scene(tmp_path, people=ANNA.replace("[-5, 0.5]", "[-4.0, 0.5]"), more=REAR))
    assert night(shaded).place_m == pytest.approx((-4.5, 0.5, 0.0))
    assert night(alone).place_m[0] == pytest.approx(-0.5)  # else the darkest is close below the lamps
    facing = bare_lux((-4.5, 0.5, alone.torso_up_m), (1.0, 0.0, 0.0))
    assert night(shaded).torso_lx < 0.3 * LOSS * facing / 4  # of its lit side alone


def test_the_least_side_and_that_towards_the_driver(tmp_path: Path) -> None:
    """The next lane's driver comes from behind, and behind the truck no lamp lights what looks away from it."""
    (found,) = places(placed_scene(tmp_path, more=REAR))
    entry = night(found)
    assert (entry.least_side, entry.least_side_lx, entry.towards_driver_lx, found.lane) == ("rear", 0.0, 0.0, "next")
    opposite = '{ id = "oncoming", name = "Oncoming", centre_left = 3.2, width = 3.4, direction = "opposite" }'
    (found,) = places(placed_scene(tmp_path, lanes=opposite, more=REAR))
    entry = night(found)
    along, left, _ = entry.place_m
    assert found.lane == "Oncoming"
    assert entry.towards_driver_lx == pytest.approx(
        LOSS * bare_lux((along, left, found.torso_up_m), (1, 0, 0)), rel=2e-3
    )
    (found,) = places(placed_scene(tmp_path, lanes="", more=REAR))
    assert found.lane == "" and isnan(night(found).towards_driver_lx)


def test_places_are_tried_where_a_person_fits_and_each_outline_once(tmp_path: Path) -> None:
    low = REAR.replace('"rear"', '"low"').replace("plane", "headroom = 1\nplane").replace("[-6, 0]", "[-7, 0]")
    again = REAR.replace('"rear"', '"upright"').replace('"horizontal"', '"vertical"\nfacing = "rear"\nheight = 1.5')
    placed = placed_scene(tmp_path, more=REAR + low + again)
    assert stands_on(placed) == (True, False, False)
    inside = REAR.replace("[-6, 0]", "[1, 5]").replace("[-2, 2]", "[-1, 1]")
    (found,) = places(placed_scene(tmp_path, more=inside))
    assert found.valid_places == 0 and isnan(night(found).torso_lx) and isnan(night(found).place_m[0])


def test_against_a_wall_the_shoulders_need_room_too(tmp_path: Path) -> None:
    """A strip along the truck's side, its middles 0.1 m from the wall: a torso would stand in it."""
    beside = (
        REAR.replace("[-6, 0]", "[1, 5]").replace("[-2, 2]", "[1.2, 1.4]").replace("spacing = 1", "counts = [4, 1]")
    )
    (found,) = places(placed_scene(tmp_path, more=beside))
    assert (found.valid_places, found.all_places) == (0, 4)


def test_a_dead_lamp_leaves_the_dose_of_the_other(tmp_path: Path) -> None:
    """Linear in the level: with one lamp at half, the mean is that of the sum."""
    placed = placed_scene(tmp_path, more=REAR)
    grids = [area_points(placed.vehicles, placed.ground, area) for area in placed.scene.areas]
    levels = {
        ("on", "night"): np.array([1.0, 0.0]),
        ("on", "day"): np.array([0.0, 1.0]),
        ("both", "x"): np.array([1.0, 1.0]),
    }
    (found,) = standing_places(placed, grids, levels, Contributions())
    left, right, both = found.entries
    assert left.torso_lx == pytest.approx(right.torso_lx, rel=1e-6)  # the scene is the same on both sides
    assert both.torso_lx >= left.torso_lx + right.torso_lx - 1e-9
    assert replace(left, state="", light="").place_m[1] == pytest.approx(-right.place_m[1])


def test_the_scene_on_its_site_is_not_changed(tmp_path: Path) -> None:
    placed = placed_scene(tmp_path, people=ANNA, more=REAR)
    before = placed.blockers_with_people.centre_m.copy()
    places(placed)
    lit(placed)
    assert np.array_equal(before, placed.blockers_with_people.centre_m)
    assert place(placed.scene).people[0].foot_m == placed.people[0].foot_m
