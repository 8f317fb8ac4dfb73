"""The address of every formula of an approach, and what its numbers leave out, in lines for its notes."""

from __future__ import annotations

from scenelux.scene.model import SceneDocument
from scenelux.sources import Source
from scenelux.study.formulas import glare_notes
from scenelux.study.view.limits import air_note, lit_air_note
from scenelux.study.view.visible import EXPOSURE_S, visibility_notes
from scenelux.vision import HEADLINE_FORM, NEAR_FORM
from scenelux.vision.atmosphere import ATMOSPHERE_SOURCE
from scenelux.vision.discomfort import OUTDOOR_DISCOMFORT_SOURCE
from scenelux.vision.stopping import STOPPING_METRIC_SOURCE, STOPPING_US_SOURCE
from scenelux.vision.target import TARGET_FORM, TARGET_SOURCE, TARGET_UNCONFIRMED

__all__ = ["approach_notes", "weather_notes"]


def approach_notes(scene: SceneDocument) -> tuple[str, ...]:
    """Lines on glare, visibility, conspicuity, discomfort and stopping.

    Parameters
    ----------
    scene : for its units.
    """
    stopping = STOPPING_US_SOURCE if scene.units == "us" else STOPPING_METRIC_SOURCE
    notes = [
        *glare_notes(),
        f"visibility level by the form {TARGET_FORM}: {_cited(TARGET_SOURCE)}; {_cited(TARGET_UNCONFIRMED)}: "
        "it decides no verdict",
        f"a target is seen for {EXPOSURE_S:g} s by an eye that looks at it; its veil by {HEADLINE_FORM}, nearer than "
        f"0.1 deg {NEAR_FORM}; the veil counts in the adaptation, not in the difference of luminances",
        *visibility_notes(scene),
        "signed levels: negative is darker than what is beside it; it counts as seen by the size of its level, and "
        "stays seen while some part does",
        "a target is looked for while it is within 45 deg of the way ahead",
        f"stopping sight distance: {_cited(stopping)}; to the target, on the steepest fall of the road",
        "conspicuity of the vehicle: luminous intensity towards the eye of all lamps that it sees, after the air",
        f"discomfort rating outdoors: {_cited(OUTDOOR_DISCOMFORT_SOURCE)}; surroundings are the matt ground around the "
        "vehicle, ambient light the sky, the ground and what the road sends back of the own headlamps",
        "natural light comes from an even sky, without shadows; sheeting and tape answer to the own headlamps only",
    ]
    if any(one.profile_m for one in scene.approaches):
        notes.append("what is behind a target is pictured on the plane of the site; the profile hides, and tilts lamps")
    return tuple(notes)


def weather_notes(scene: SceneDocument) -> tuple[str, ...]:
    """What the air does and what of it is left out; nothing in clear air.

    Parameters
    ----------
    scene : for its weather.
    """
    note = air_note(scene.weather)
    return (f"{note}; {_cited(ATMOSPHERE_SOURCE)}", lit_air_note(scene.weather)) if note else ()


def _cited(source: Source) -> str:
    return f"{source} ({source.status})"
