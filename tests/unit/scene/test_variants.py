"""Variants change the lamps that they name, step by step, and nothing else."""

from __future__ import annotations

from pathlib import Path

import pytest
from broken_scenes import BASE

from scenelux.errors import UsageError
from scenelux.scene.model import SceneDocument
from scenelux.scene.read import read_scene
from scenelux.scene.variants import apply_variant


@pytest.fixture
def scene(tmp_path: Path) -> SceneDocument:
    file = tmp_path / "scene.toml"
    more = """
[variants.moved]
say = "Moved, other luminaire, more loss"
based_on = "up"
changes = [
  { lamps = ["tail-right"], position = ["-6 in", 0, 9], luminaire = "tail-flood-oval", light_loss_factor = "70 %" },
  { lamps = ["second/tail-left"], heading = 90, roll = "5 deg" },
]
[variants.again]
say = "From the scene as written"
based_on = "tilted"
changes = [{ circuit = "tail scene", tilt = -10 }, { lamps = ["tail-left"], tilt = -20 }]
"""
    file.write_text(BASE + more)
    return read_scene(file)


def tilts(scene: SceneDocument) -> dict[str, float]:
    return {lamp.id: lamp.tilt_deg for vehicle in scene.vehicles for lamp in vehicle.lamps}


def test_the_base_is_the_scene_as_written(scene: SceneDocument) -> None:
    assert apply_variant(scene, "tilted") is scene


def test_changes_come_on_top_of_the_variant_they_are_based_on(scene: SceneDocument) -> None:
    ids = ("tail-left", "tail-right", "second/tail-left", "second/tail-right")
    assert tuple(tilts(scene)) == ids
    assert list(tilts(apply_variant(scene, "flat")).values()) == [0.0, 0.0, 0.0, 0.0]
    assert list(tilts(apply_variant(scene, "up")).values()) == [5.0, 0.0, 0.0, 0.0]
    assert list(tilts(apply_variant(scene, "again")).values()) == [-20.0, -10.0, -10.0, -10.0]
    assert list(tilts(scene).values()) == [-35.0, -34.0, -35.0, -34.0]


def test_every_kind_of_change(scene: SceneDocument) -> None:
    lamps = {lamp.id: lamp for vehicle in apply_variant(scene, "moved").vehicles for lamp in vehicle.lamps}
    moved, turned = lamps["tail-right"], lamps["second/tail-left"]
    assert moved.position_m == pytest.approx((-0.1524, 0.0, 2.7432))
    assert (moved.luminaire, moved.light_loss_factor, moved.tilt_deg) == ("tail-flood-oval", pytest.approx(0.7), 0.0)
    assert (turned.heading_deg, turned.roll_deg) == (90.0, 5.0)


def test_luminaires_of_variants_are_found(scene: SceneDocument) -> None:
    assert set(scene.luminaires) == {"tail-flood-round", "tail-flood-oval"}


def test_nothing_else_changes(scene: SceneDocument) -> None:
    changed = apply_variant(scene, "moved")
    for name in type(scene).model_fields:
        if name != "vehicles":
            assert getattr(changed, name) is getattr(scene, name), name
    for before, after in zip(scene.vehicles, changed.vehicles, strict=True):
        assert before.bodies == after.bodies
        assert before.model_copy(update={"lamps": ()}) == after.model_copy(update={"lamps": ()})


def test_unknown_variant(scene: SceneDocument) -> None:
    with pytest.raises(UsageError, match='"flatt" is not a variant of this scene; did you mean "flat"'):
        apply_variant(scene, "flatt")
