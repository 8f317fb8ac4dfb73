"""People and objects stand where the document says, fill the boxes of their kind, and show patches of known area."""

from __future__ import annotations

import numpy as np
import pytest

from scenelux.engine import covered
from scenelux.placement import Ground, Patch, PlacedVehicle, place_object, place_person
from scenelux.placement.bodies import place_vehicle
from scenelux.placement.boxes import PlacedBox, blockers_of
from scenelux.placement.materials import clothing_cover, ground_surface, vest_areas_m2
from scenelux.scene.model import Body, Person, RoadObject, Vehicle
from scenelux.scene.tables import clothing_names, default_covers, sheeting_colours, surface_names

POSES = ("standing", "walking", "crouching")
LEVEL = Ground()
SLOPE = Ground(grade=0.05, crossfall=0.02)


def vehicles(ground: Ground, **pose: object) -> dict[str, PlacedVehicle]:
    deck = Body(id="deck", forward=[0, 6], left=[-1, 1], up=[0.5, 1.25])
    return {"truck": place_vehicle(Vehicle(**{"id": "truck", "bodies": (deck,), **pose}), ground)}


def person(ground: Ground = LEVEL, pose_of_truck: dict[str, object] | None = None, **keys: object):
    given = {"id": "worker", "position": [-2, 1], **keys}
    return place_person(Person(**given), vehicles(ground, **(pose_of_truck or {})), ground)


def item(ground: Ground = LEVEL, pose_of_truck: dict[str, object] | None = None, **keys: object):
    given = {"id": "item", "kind": "cone", "position": [-2, 1], **keys}
    return place_object(RoadObject(**given), vehicles(ground, **(pose_of_truck or {})), ground)


def corners(boxes: tuple[PlacedBox, ...]) -> np.ndarray:
    signs = np.array([(x, y, z) for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)])
    return np.concatenate([np.array(box.centre_m) + (signs * box.half_m) @ np.array(box.axes) for box in boxes])


def area(patches: tuple[Patch, ...], share: str) -> float:
    return sum(patch.area_m2 * getattr(patch, share) for patch in patches)


def test_a_standing_person_is_as_high_as_stated_and_as_wide_as_shoulders() -> None:
    around = np.ptp(corners(person(height=1.8).boxes), axis=0)
    assert around == pytest.approx((0.14 * 1.8, 0.26 * 1.8, 1.8))


def test_a_walking_person_has_the_legs_apart_and_a_crouching_one_is_low_and_wide() -> None:
    standing, walking, crouching = (np.ptp(corners(person(pose=pose).boxes), axis=0) for pose in POSES)
    assert walking[0] > 2.0 * standing[0] and walking[1:] == pytest.approx(standing[1:])
    assert crouching[2] < 0.7 * standing[2] and crouching[1] > standing[1] and crouching[0] > standing[0]


@pytest.mark.parametrize("pose", POSES)
def test_parts_stand_on_the_ground_on_each_other_and_have_one_name_each(pose: str) -> None:
    boxes = person(pose=pose).boxes
    assert len({box.part for box in boxes}) == len(boxes)
    spans = sorted((box.centre_m[2] - box.half_m[2], box.centre_m[2] + box.half_m[2]) for box in boxes)
    assert spans[0][0] == pytest.approx(0.0)
    for low, _ in spans:
        assert low == pytest.approx(0.0) or any(low == pytest.approx(high) for _, high in spans)


def test_a_person_stands_upright_on_a_slope_and_faces_its_heading() -> None:
    placed = person(SLOPE, heading=90)
    assert placed.foot_m == pytest.approx((-2.0, 1.0, 0.05 * -2.0 + 0.02 * 1.0))
    assert placed.axes[0] == pytest.approx((0.0, 1.0, 0.0)) and placed.axes[2] == (0.0, 0.0, 1.0)


def test_a_person_of_a_vehicle_turns_with_it_and_stays_upright() -> None:
    truck = {"position": [10, 3], "heading": 90, "pitch": 5}
    placed = person(SLOPE, truck, of="truck", heading=180)
    assert placed.foot_m == pytest.approx((9.0, 1.0, 0.05 * 9.0 + 0.02 * 1.0))
    assert placed.axes[0] == pytest.approx((0.0, -1.0, 0.0))


def test_a_person_stands_on_a_body_or_is_held_at_a_height() -> None:
    assert person(of="truck", on="deck", position=[2, 0]).foot_m == pytest.approx((2.0, 0.0, 1.25))
    assert person(of="truck", position=[2, 0, 9]).foot_m == pytest.approx((2.0, 0.0, 9.0))
    assert person(SLOPE, position=[20, 0, 9]).foot_m == pytest.approx((20.0, 0.0, 10.0))
    pitched = person(pose_of_truck={"pitch": 5}, of="truck", on="deck", position=[2, 0])
    assert pitched.foot_m == pytest.approx(vehicles(Ground(), pitch=5)["truck"].to_site((2.0, 0.0, 1.25)))
    assert pitched.axes[2] == (0.0, 0.0, 1.0)


@pytest.mark.parametrize("pose", POSES)
def test_the_own_head_does_not_stand_before_the_eye(pose: str) -> None:
    placed = person(pose=pose, heading=30)
    head = next(box for box in placed.boxes if box.part == "head")
    away = np.array(head.axes) @ (np.array(placed.eye_m) - head.centre_m)
    assert head.half_m[0] < away[0] < head.half_m[0] + 0.001  # just before the face
    assert abs(away[1]) < head.half_m[1] and 0.0 < away[2] < head.half_m[2]
    eyes = np.array([placed.eye_m])
    assert not covered(blockers_of(placed.boxes), eyes, eyes[:, 2], headroom_m=0.0).any()
    assert placed.eye_height_m == pytest.approx(placed.eye_m[2] - placed.foot_m[2])


def test_eye_height_of_a_person_on_foot() -> None:
    assert 1.60 <= person().eye_height_m <= 1.75


@pytest.mark.parametrize("vest", ["class 1", "class 2", "class 3"])
@pytest.mark.parametrize("pose", POSES)
def test_a_vest_has_the_areas_of_its_class(vest: str, pose: str) -> None:
    patches = person(pose=pose, vest=vest).patches
    found = area(patches, "fluorescent_share"), area(patches, "retroreflective_share")
    assert found == pytest.approx(vest_areas_m2(vest))


def test_a_vest_lies_on_the_torso_first_and_what_is_left_on_the_legs() -> None:
    for vest, whole_torso in (("class 2", False), ("class 3", True)):
        shares: dict[str, float] = {}
        for patch in person(vest=vest).patches:
            if patch.side != "top":
                shares[patch.part] = patch.fluorescent_share + patch.retroreflective_share
        assert (shares["torso"] == pytest.approx(1.0)) is whole_torso
        assert (shares["left leg"] > 0.0) is whole_torso and shares["left leg"] == shares["right leg"]
        assert shares["head"] == 0.0


def test_a_vest_that_is_too_large_covers_all_and_no_more() -> None:
    patches = [patch for patch in person(height=0.9, vest="class 3").patches if patch.side != "top"]
    for patch in patches:
        share = patch.fluorescent_share + patch.retroreflective_share
        assert share == pytest.approx(0.0 if patch.part == "head" else 1.0)
    front = next(patch for patch in patches if patch.part == "torso")
    assert front.fluorescent_share / front.retroreflective_share == pytest.approx(0.8 / 0.2)


@pytest.mark.parametrize("kind", ["cone", "barricade", "panel", "person"])
def test_patches_are_faces_of_their_boxes_turned_outwards(kind: str) -> None:
    truck = {"heading": 20, "pitch": 3}
    where = {"of": "truck", "heading": 75, "position": [1, 2, 3]}
    placed = (
        person(SLOPE, truck, vest="class 2", **where) if kind == "person" else item(SLOPE, truck, kind=kind, **where)
    )
    boxes = {box.part: box for box in placed.boxes}
    for patch in placed.patches:
        box = boxes[patch.part]
        away = np.array(box.axes) @ (np.array(patch.centre_m) - box.centre_m)
        face = int(np.argmax(np.abs(away)))
        assert np.abs(away[face]) == pytest.approx(box.half_m[face])
        assert np.delete(away, face) == pytest.approx((0.0, 0.0), abs=1e-12)
        assert np.array(patch.normal) == pytest.approx(np.sign(away[face]) * np.array(box.axes[face]))
        edges = np.abs(np.array(box.axes) @ np.array([patch.across, patch.up]).T)
        assert edges.T @ np.array(box.half_m) * 2.0 == pytest.approx(patch.size_m)
        assert abs(np.cross(patch.across, patch.up) @ patch.normal) == pytest.approx(1.0)
        assert sum(cover.share for cover in patch.covers) == pytest.approx(1.0)
        assert 0.0 < patch.reflectance < 1.0
    assert {patch.part for patch in placed.patches} == set(boxes)


def test_every_material_that_retroreflects_has_the_colour_that_is_named() -> None:
    for kind in default_covers():
        for material, colours in sheeting_colours().items():
            for patch in item(kind=kind, sheeting=material, colours=list(colours)[:6]).patches:
                for cover in patch.covers:
                    assert not cover.material or cover.colour in sheeting_colours()[cover.material]
    for patch in person(vest="class 3").patches:
        for cover in patch.covers:
            assert not cover.material or cover.colour in sheeting_colours()[cover.material]


def test_a_panel_lies_flat_with_its_back_at_its_position_and_leans_with_the_vehicle() -> None:
    panel = item(kind="panel", of="truck", position=[0, 0, 0.6], width=1.0, height=0.5)
    assert np.array(panel.boxes[0].centre_m) == pytest.approx((-0.001, 0.0, 0.85))
    (front,) = [patch for patch in panel.patches if patch.side == "front"]
    assert front.normal == pytest.approx((-1.0, 0.0, 0.0)) and front.size_m == pytest.approx((1.0, 0.5))
    assert [(cover.colour, cover.share) for cover in front.covers] == [("red", 0.5), ("yellow", 0.5)]
    assert front.retroreflective_share == pytest.approx(1.0)
    (back,) = [patch for patch in panel.patches if patch.side == "rear"]
    assert back.retroreflective_share == 0.0
    leaning = item(kind="panel", of="truck", position=[0, 0, 0.6], pose_of_truck={"pitch": 10})
    assert leaning.axes[2] == pytest.approx(vehicles(Ground(), pitch=10)["truck"].axes[2])
    upright = item(kind="panel", of="truck", position=[0, 0], pose_of_truck={"pitch": 10})
    assert upright.axes[2] == (0.0, 0.0, 1.0)


def test_a_cone_is_as_large_as_stated_and_has_its_band() -> None:
    cone = item(kind="cone", height=0.9, width=0.4)
    assert np.ptp(corners(cone.boxes), axis=0) == pytest.approx((0.4, 0.4, 0.9))
    band = [patch for patch in cone.patches if patch.part == "band" and patch.side != "top"]
    assert {patch.retroreflective_share for patch in band} == {1.0}
    assert all(patch.retroreflective_share == 0.0 for patch in cone.patches if patch.part != "band")
    painted = item(kind="cone", sheeting="none", colours=["white"])
    assert all(patch.retroreflective_share == 0.0 for patch in painted.patches)


@pytest.mark.parametrize("name", surface_names())
def test_every_ground_can_be_drawn(name: str) -> None:
    surface = ground_surface(name)
    assert 0.0 < surface.drawn.value < 1.0
    if surface.reflectance is None:
        assert surface.drawn.status == "unconfirmed"


@pytest.mark.parametrize("name", clothing_names())
def test_clothing_reflects_the_middle_of_its_range(name: str) -> None:
    cover = clothing_cover(name)
    assert 0.0 < cover.reflectance.value < 1.0 and cover.reflectance.status == "unconfirmed"


def test_the_least_confirmed_number_tells_how_far_a_patch_is_confirmed() -> None:
    stated = person(clothing=0.3).patches
    assert {patch.status for patch in stated if patch.part == "torso"} == {"own"}
    assert {patch.status for patch in person(clothing=0.3, vest="class 1").patches if patch.side == "front"} == {
        "own", "unconfirmed",
    }  # fmt: skip
