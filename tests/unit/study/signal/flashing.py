"""Scenes of bare lamps, the same to all sides, whose light by direction is known by hand."""

from __future__ import annotations

from pathlib import Path

from scenelux.scene.model import SceneDocument
from scenelux.scene.read import read_scene

__all__ = ["BALL_CD", "scene_of"]

BALL_CD = 500.0

_BALL = f"""IESNA:LM-63-2002
[TEST] invented
[MANUFAC] none
TILT=NONE
1 -1 1 2 1 1 2 0 0 0
1 1 0
0 180
0
{BALL_CD:g} {BALL_CD:g}
"""

_CARD = """
format = "scenelux luminaire 1"
name = "Ball"
kind = "KIND"
file = "ball.ies"
colour = "COLOUR"
data_class = "measured file"
[source]
title = "Made for a test"
status = "invented"
"""

_SCENE = """
format = "scenelux scene 1"
title = "Balls"
data = "invented"
units = "metric"
circuits = { warning = "Balls", work = "A steady ball", board = "A row of balls" }
[[vehicles]]
id = "truck"
heading = HEADING
position = POSITION
light_loss_factor = 1
bodies = [BODIES]
lamps = [
  { id = "left", luminaire = "amber", position = [0, 1, 2], heading = 180, circuit = "warning" },
  { id = "right", luminaire = "amber", position = [0, -1, 2], heading = 180, circuit = "warning" },
  { id = "steady", luminaire = "amber", position = [0, 0, 2], heading = 180, circuit = "work" },
  { id = "row-1", luminaire = "row", position = [0, -1, 3], heading = 180, circuit = "board" },
  { id = "row-2", luminaire = "row", position = [0, 0, 3], heading = 180, circuit = "board" },
  { id = "row-3", luminaire = "row", position = [0, 1, 3], heading = 180, circuit = "board" },
]
MORE
[states]
warn = { say = "Warning", circuits = { warning = 1 } }
work = { say = "Working", circuits = { warning = 1, work = 1 } }
board = { say = "Board", circuits = { board = 1 } }
[light]
day = { say = "Day", ambient = "10000 lx", adaptation_luminance = "400 cd/m2" }
night = { say = "Night", ambient = "0 lx", adaptation_luminance = "0.1 cd/m2", factors = { warning = 0.4 } }
"""


def scene_of(
    folder: Path, signals: str, *, heading: float = 0.0, position: str = "[0, 0]", bodies: str = "", more: str = ""
) -> SceneDocument:
    """A truck with a ball on each side, a steady one between, and a row of three above.

    Parameters
    ----------
    folder : where its files are written.
    signals : text at the end of the document: patterns, signals, signal_criteria, variants.
    heading, position, bodies : of the truck.
    more : tables before the states, such as another vehicle.
    """
    folder.mkdir(exist_ok=True)
    (folder / "ball.ies").write_text(_BALL)
    for name, kind in (("amber", "warning"), ("row", "arrow")):
        (folder / f"{name}.toml").write_text(_CARD.replace("KIND", kind).replace("COLOUR", "amber"))
    text = _SCENE.replace("HEADING", f"{heading}").replace("POSITION", position).replace("BODIES", bodies)
    file = folder / "balls.toml"
    file.write_text(text.replace("MORE", more) + signals)
    return read_scene(file)
