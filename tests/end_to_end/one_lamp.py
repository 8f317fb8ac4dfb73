"""The smallest scene: one lamp at the rear of one truck, aimed as a test wants it."""

from __future__ import annotations

__all__ = ["one_lamp"]

_SCENE = """
format = "scenelux scene 1"
title = "One lamp"
data = "invented"
units = "metric"
[circuits]
work = "Work light"
[[vehicles]]
id = "truck"
name = "Truck"
pitch = "{pitch} deg"
[[vehicles.bodies]]
id = "body"
forward = ["0 m", "6 m"]
left = ["-1 m", "1 m"]
up = ["0.5 m", "2 m"]
[[vehicles.lamps]]
id = "lamp"
luminaire = "{luminaire}"
position = ["-0.1 m", "{left} m", "2.4 m"]
heading = "{heading} deg"
tilt = "{tilt} deg"
roll = "{roll} deg"
circuit = "work"
light_loss_factor = 1
[states.on]
say = "On"
circuits = {{ work = 1.0 }}
[light.night]
say = "Night"
ambient = "0 lx"
adaptation_luminance = "0.1 cd/m2"
"""


def one_lamp(
    luminaire: str, *, heading: float = 180, tilt: float = 0, roll: float = 0, pitch: float = 0, left: float = 0
) -> str:
    """The text of the scene; angles in degrees, the lamp's place to the left in metres, pitch of the truck."""
    return _SCENE.format(luminaire=luminaire, heading=heading, tilt=tilt, roll=roll, pitch=pitch, left=left)
