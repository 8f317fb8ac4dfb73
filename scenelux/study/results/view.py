"""What an eye saw: luminance pictures, people and objects in them, and the crew's light beside."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scenelux.study.results.study import Statistics, StudyResult

__all__ = ["Sighting", "ViewArea", "ViewCase", "ViewFrame", "ViewPart", "ViewResult", "ViewTarget"]

Singles = NDArray[np.float32]
Flags = NDArray[np.bool_]
Sighting = Literal["visible", "marginal", "not visible", "hidden", "not valid"]


@dataclass(frozen=True)
class ViewPart:
    """The whole of a target or a part of it, such as the legs, as the eye sees it; nan where it is hidden.

    target_cd_m2 and background_cd_m2 are means over it and over a ring around it; difference_cd_m2 is that between them
    without the light of the air as far as the target; level is signed, negative where it is the darker one, and nan of
    a part that is too small to count; threshold_cd_m2 is the difference that is just seen.
    """

    name: str
    level: float
    target_cd_m2: float
    background_cd_m2: float
    threshold_cd_m2: float
    size_arcmin: float
    difference_cd_m2: float


@dataclass(frozen=True)
class ViewTarget:
    """A person or an object as the eye sees it: as well as the whole or the part that stands out most.

    level is that of the part named in seen_by; it is nan, and no part is named, where all is hidden or the model has no
    answer. veil_cd_m2 is that in an eye that looks at the target. caution says in words where much air lies before it.
    parts begins with the whole. The model has constants that are not confirmed: it decides no verdict.
    """

    target_id: str
    name: str
    kind: Literal["person", "object"]
    sighting: Sighting
    level: float
    seen_by: str
    veil_cd_m2: float
    parts: tuple[ViewPart, ...]
    caution: str = ""

    @property
    def said(self) -> str:
        """How it is seen, and whether the air before it leaves that in doubt."""
        return f"{self.sighting} (in doubt)" if self.caution and self.sighting != "not valid" else self.sighting

    @property
    def whole(self) -> ViewPart:
        """All of it together."""
        return self.parts[0]


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
