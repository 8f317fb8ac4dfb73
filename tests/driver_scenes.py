"""Small scenes before a driver's eye, for tests of pictures: a truck with lamps, people, objects, weather."""

from __future__ import annotations

from pathlib import Path

from scenelux.placement import PlacedScene, place
from scenelux.scene.model import SceneDocument
from scenelux.scene.read import read_scene

__all__ = ["driver_scene", "placed_scene"]

CARD = (Path(__file__).resolve().parent / "data" / "check-case" / "bare-flood.toml").read_text(encoding="utf-8")

_SCENE = """
format = "scenelux scene 1"
title = "Before a driver"
data = "invented"
units = "metric"
people = [{people}]
objects = [{objects}]
{weather}
[site]
surface = "{surface}"
posted_speed = "90 km/h"
lanes = [{lanes}]
[circuits]
tail = "Two floods"
[[vehicles]]
id = "truck"
light_loss_factor = 0.8
bodies = [{{ id = "body", forward = [0, 6], left = [-1.2, 1.2], up = [0, 2.6] }}]
lamps = [
  {{ id = "left", luminaire = "bare-flood", position = [-0.1, 1, 2.4], circuit = "tail", {aim} }},
  {{ id = "right", luminaire = "bare-flood", position = [-0.1, -1, 2.4], circuit = "tail", {aim} }},
]
[states.on]
say = "On"
circuits = {{ tail = 1 }}
[light.night]
say = "Night"
ambient = "0.1 lx"
adaptation_luminance = "0.1 cd/m2"
[light.day]
say = "Day"
ambient = "10000 lx"
adaptation_luminance = "400 cd/m2"
{more}
"""

LANE = '{ id = "next", centre_left = 3.2, width = 3.4 }'
APPROACH = '[[approaches]]\nid = "car"\nlane = "next"\nfrom = 200\nto = 20\nstep = 5\n'


def driver_scene(
    folder: Path,
    *,
    people: str = "",
    objects: str = "",
    weather: str = "",
    surface: str = "dry asphalt",
    tilt: float = -20,
    lanes: str = LANE,
    more: str = APPROACH,
) -> SceneDocument:
    """A truck on its shoulder with two floods at its rear, read from a file in a folder."""
    aim = f"heading = 180, tilt = {tilt}"
    text = _SCENE.format(
        people=people, objects=objects, weather=weather, surface=surface, aim=aim, lanes=lanes, more=more
    )
    (folder / "bare-flood.toml").write_text(CARD, encoding="utf-8")
    file = folder / "scene.toml"
    file.write_text(text, encoding="utf-8")
    return read_scene(str(file))


def placed_scene(folder: Path, **parts: object) -> PlacedScene:
    """The same on its site."""
    return place(driver_scene(folder, **parts))  # type: ignore[arg-type]
