"""Points that are asked for: what is refused names its option, and what is not valid says why."""

from __future__ import annotations

import pytest
from broken_scenes import BASE

from scenelux.errors import UsageError
from scenelux.scene.model import SceneDocument
from scenelux.scene.read import read_scene
from scenelux.study.probe import probe


@pytest.fixture(scope="module")
def scene(tmp_path_factory: pytest.TempPathFactory) -> SceneDocument:
    file = tmp_path_factory.mktemp("scene") / "scene.toml"
    file.write_text(BASE)
    return read_scene(file)


@pytest.mark.parametrize(
    "facing",
    ["nan,0,0", "inf,0,0", "1e300,0,0", "1e-300,0,0", "0,0,0", "semi-cylindrical:up", "semi-cylindrical:down",
     "semi-cylindrical:0,0,5", "semi-cylindrical:nan,0,0", "sideways"],
)  # fmt: skip
def test_directions_that_are_none(scene: SceneDocument, facing: str) -> None:
    with pytest.raises(UsageError) as caught:
        probe(scene, ["1 m,0,0"], facing)
    assert caught.value.key == "--facing" and caught.value.accepted


@pytest.mark.parametrize("at", ["1e300,0,0", "0,11 km,0", "0,0,-1e9 m"])
def test_points_too_far_away(scene: SceneDocument, at: str) -> None:
    with pytest.raises(UsageError, match="too far away") as caught:
        probe(scene, [at])
    assert caught.value.key == "--at" and caught.value.value == at


def test_a_point_at_the_only_lamp_is_not_inside_a_body(scene: SceneDocument) -> None:
    truck = scene.vehicles[0]
    alone = truck.model_copy(update={"lamps": truck.lamps[:1]})
    one = scene.model_copy(update={"vehicles": (alone,)})
    along, left, up = truck.lamps[0].position_m
    at_lamp, inside = probe(one, [f"{along} m,{left} m,{up} m", "2 m,0,1 m"]).points
    assert at_lamp.reason.startswith("nearer to tail-left than") and inside.reason == "the point lies inside a body"


def test_facing_in_any_case_of_letters(scene: SceneDocument) -> None:
    for written, plain in (("Up", "up"), ("REAR", "rear"), ("Semi-Cylindrical:Rear", "semi-cylindrical:rear")):
        assert probe(scene, ["-2 m,0,1 m"], written) == probe(scene, ["-2 m,0,1 m"], plain)


def test_units_change_what_is_shown_and_not_where_the_point_lies(scene: SceneDocument) -> None:
    own, metric = probe(scene, ["-10,0,3"]), probe(scene, ["-10,0,3"], units="metric")
    assert (own.units, metric.units) == ("us", "metric")
    assert own.points == metric.points and own.points[0].position_m[0] == pytest.approx(-3.048)
    with pytest.raises(UsageError, match="system of units") as caught:
        probe(scene, ["-10,0,3"], units="imperial")
    assert caught.value.key == "--units"
