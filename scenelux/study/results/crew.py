"""What was found for the people around the vehicle: glare in their eyes, light on them, and where it is worst.

Light in eyes is initial, light on people maintained; nan means "not valid here", and a note beside it says why.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scenelux.geometry import Vector

__all__ = [
    "CrewEntry",
    "CrewEye",
    "CrewGaze",
    "Opening",
    "PersonEntry",
    "PersonLight",
    "PersonSide",
    "StandingEntry",
    "StandingPlaces",
]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Opening:
    """The brightest opening of a lamp that an eye sees.

    Parameters
    ----------
    lamp : its name.
    luminance_cd_m2 : intensity towards the eye over the area of the opening as seen from there [cd/m2].
    angle_deg : from the line of sight.
    """

    lamp: str
    luminance_cd_m2: float
    angle_deg: float


@dataclass(frozen=True)
class CrewGaze:
    """What an eye gets with one line of sight.

    Parameters
    ----------
    gaze : in words.
    direction : unit vector, site frame.
    eye_illuminance_lx : square to the line of sight [lx].
    veil_cd_m2 : by the headline form [cd/m2].
    glare_rating : CIE 112, not rounded; minus infinity where no lamp is seen within its range.
    brightest : None where no lamp with an opening is seen on this side of the eye.
    air_luminance_cd_m2 : of the lit air along the line of sight, in no veil and no rating; None in clear air.
    """

    gaze: str
    direction: Vector
    eye_illuminance_lx: float
    veil_cd_m2: float
    glare_rating: float
    brightest: Opening | None
    air_luminance_cd_m2: float | None = None


@dataclass(frozen=True, eq=False)
class CrewEntry:
    """An eye of the crew in one duty state at one light level.

    Parameters
    ----------
    state, light : ids.
    surroundings_lx : mean horizontal illuminance of what is around, initial, by lamps alone [lx].
    surroundings_veil_cd_m2 : of the glare rating [cd/m2].
    rating_by_view : (views,) glare rating of every view all around.
    worst : the view with the largest rating; None where none is valid.
    worst_heading_deg : of that view, in the frame of the eye's vehicle or of the site; nan without one.
    gazes : lines of sight of its own, and towards the vehicle.
    notes : why nan, and what a rating stands on.
    """

    state: str
    light: str
    surroundings_lx: float
    surroundings_veil_cd_m2: float
    rating_by_view: Array
    worst: CrewGaze | None
    worst_heading_deg: float
    gazes: tuple[CrewGaze, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class CrewEye:
    """An eye that stays near the vehicle: a person's, or one at a place such as a mirror.

    Parameters
    ----------
    eye_id : of the eye in the document; of the person where the document gives that person no eye.
    name, kind : in words; person or place.
    person_id : whose eye it is; empty for a place.
    frame : vehicle in whose frame headings count, or "site".
    position_m, height_m : site frame; above what the person stands on, or above the ground.
    age_years, pigmentation : of the observer.
    surroundings : the area or ground whose mean illuminance counts, in words; area_id is empty for ground.
    area_id : see above.
    reflectance, reflectance_from, reflectance_status : of that area, whose it is, and how far it was confirmed.
    veil_form, rating_form : names of the two forms of the veil.
    headings_deg : (views,) headings of the views all around, in `frame`.
    entries : every duty state at every light level.
    """

    eye_id: str
    name: str
    kind: Literal["person", "place"]
    person_id: str
    frame: str
    position_m: Vector
    height_m: float
    age_years: float
    pigmentation: float
    surroundings: str
    area_id: str
    reflectance: float
    reflectance_from: str
    reflectance_status: str
    veil_form: str
    rating_form: str
    headings_deg: Array
    entries: tuple[CrewEntry, ...]


@dataclass(frozen=True)
class PersonSide:
    """An upright side of a person: part is face, torso or feet; front is where the person faces."""

    part: Literal["face", "torso", "feet"]
    side: Literal["front", "rear", "left", "right"]


@dataclass(frozen=True)
class PersonEntry:
    """A person in one duty state at one light level: maintained vertical illuminance of each side [lx]."""

    state: str
    light: str
    illuminance_lx: tuple[float, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True)
class PersonLight:
    """Light on a placed person, in whose own shadow the far sides lie, and in that of all bodies, objects and people.

    Parameters
    ----------
    person_id, name, says : in words; says tells pose, clothing and vest.
    position_m : of the feet, site frame.
    sides : in the order of the values of each entry.
    entries : every duty state at every light level.
    """

    person_id: str
    name: str
    says: str
    position_m: Vector
    sides: tuple[PersonSide, ...]
    entries: tuple[PersonEntry, ...]


@dataclass(frozen=True)
class StandingEntry:
    """The worst place to stand in one duty state at one light level, maintained.

    Parameters
    ----------
    state, light : ids.
    place_m : of the feet at the worst place, site frame; nan where nobody can stand anywhere.
    torso_lx : mean over the four upright sides of the torso there: the least of all places [lx].
    least_side_lx, least_side : the darkest of the four there, and which it is in the frame of the area.
    towards_driver_lx : vertical illuminance there towards the driver in the nearest lane; nan without a lane [lx].
    best_torso_lx : the same mean at the best place [lx].
    """

    state: str
    light: str
    place_m: Vector
    torso_lx: float
    least_side_lx: float
    least_side: str
    towards_driver_lx: float
    best_torso_lx: float


@dataclass(frozen=True)
class StandingPlaces:
    """A standing person moved over the grid of an area.

    Parameters
    ----------
    area_id, name : of the area.
    person_height_m, torso_up_m : of the person, and of the middle of the torso above the feet [m].
    lane : of the driver, in words; empty without one.
    valid_places, all_places : where somebody can stand, of all points of the grid.
    entries : every duty state at every light level.
    """

    area_id: str
    name: str
    person_height_m: float
    torso_up_m: float
    lane: str
    valid_places: int
    all_places: int
    entries: tuple[StandingEntry, ...]
