"""Drives through small scenes, for tests of approaches."""

from __future__ import annotations

from pathlib import Path

from scenelux.placement import ApproachPath, PlacedScene, approach_path, place
from scenelux.scene.model import SceneDocument
from scenelux.study.approach.run import Asked, cases_of, drive
from scenelux.study.results.approach import ApproachResult
from tests.driver_scenes import driver_scene

WORKER = '{ id = "worker", position = [-3, 0.5], heading = 180, clothing = 0.5, vest = "class 2" }'
CONE = '{ id = "cone", kind = "cone", position = [-12, 2] }'


def approach_text(keys: str = "", step: float = 20) -> str:
    return f'[[approaches]]\nid = "car"\nlane = "next"\nfrom = 200\nto = 20\nstep = {step}\n{keys}\n'


def scene_with(
    folder: Path, keys: str = "", *, step: float = 20, people: str = WORKER, **parts: object
) -> SceneDocument:
    folder.mkdir(exist_ok=True)
    return driver_scene(folder, people=people, more=approach_text(keys, step), **parts)  # type: ignore[arg-type]


def driven(folder: Path, keys: str = "", light: str = "night", **parts: object) -> ApproachResult:
    """The one approach of a small scene."""
    scene = scene_with(folder, keys, **parts)  # type: ignore[arg-type]
    return drive(scene, asked=Asked(light=light)).variants[0].approaches[0]


def placed_drive(
    folder: Path, keys: str = "", **parts: object
) -> tuple[PlacedScene, ApproachPath, dict[tuple[str, str], object]]:
    """The same before it is driven: the scene on its site, the way, and the levels of the lamps."""
    placed = place(scene_with(folder, keys, **parts))  # type: ignore[arg-type]
    path = approach_path(placed, placed.scene.approaches[0])
    return placed, path, cases_of(placed, path, Asked())  # type: ignore[return-value]
