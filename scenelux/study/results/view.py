"""What an eye saw: luminance pictures, people and objects in them, and the crew's light beside."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scenelux.study.results.study import Statistics, StudyResult

__all__ = ["Sighting", "ViewArea", "ViewCase", "ViewFrame", "ViewResult", "ViewTarget"]

Singles = NDArray[np.float32]
Flags = NDArray[np.bool_]
Sighting = Literal["visible", "marginal", "not visible", "hidden"]


@dataclass(frozen=True)
class ViewTarget:
    """A person or an object as the eye sees it; nan where it is hidden.

    target_cd_m2 and background_cd_m2 are means over the target and over a ring around it, veil_cd_m2 is that in an eye
    that looks at it. level is signed, negative where the target is darker than its background; threshold_cd_m2 is the
    difference that is just seen. The model has constants that are not confirmed: it decides no verdict.
    """

    target_id: str
    name: str
    kind: Literal["person", "object"]
    target_cd_m2: float
    background_cd_m2: float
    veil_cd_m2: float
    size_arcmin: float
    level: float
    threshold_cd_m2: float
    sighting: Sighting
    part: str = ""  # stands out more than the whole, where parts are brighter and darker than the background; else none
    part_level: float = float("nan")
    part_sighting: Sighting = "hidden"


@dataclass(frozen=True)
class ViewArea:
    """Light for the crew on an area, maintained."""

    area_id: str
    name: str
    maintained: Statistics


@dataclass(frozen=True, eq=False)
class ViewFrame:
    """One picture: luminance before the eye and the veil in it, (rows, columns) [cd/m2]."""

    name: Literal["wide", "zoom"]
    field_deg: float  # across
    luminance_cd_m2: Singles  # initial light
    veil_cd_m2: Singles  # for an eye that looks at each pixel in turn
    outlines: tuple[tuple[str, Flags], ...]  # target id and the pixels in which it is seen

    @property
    def seen_cd_m2(self) -> Singles:
        """Luminance and veil together."""
        return self.luminance_cd_m2 + self.veil_cd_m2


@dataclass(frozen=True, eq=False)
class ViewCase:
    """What the eye sees of one variant at one light level."""

    variant: str
    say: str
    light: str
    ambient_lx: float
    frames: tuple[ViewFrame, ...]
    targets: tuple[ViewTarget, ...]
    areas: tuple[ViewArea, ...]
    eye_illuminance_lx: float  # of all lamps of the scene, square to the line of sight
    veil_cd_m2: float  # for the line of sight; of the lamps of the scene
    lamps_on: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class ViewResult:
    """Pictures of a scene from one eye in one duty state: the same eye, the same exposure in all of them.

    about holds what every sheet says around its body; it has no variants of its own. eye, gaze, weather, ground and
    headlamps are in words.
    """

    about: StudyResult
    state: str
    eye_id: str
    eye: str
    distance_m: float  # along the road from the eye to the vehicle's nearest face
    height_m: float
    age_years: float
    pigmentation: float
    gaze: str
    weather: str
    ground: str
    headlamps: str
    visible_level: float  # at this level and above a target counts as visible: a choice, not a rule
    visible_from: str
    veil_form: str
    target_form: str
    unconfirmed: str  # constants of the model of visibility that rest on memory
    cases: tuple[ViewCase, ...]
    notes: tuple[str, ...]
