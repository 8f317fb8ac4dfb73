"""What was found along approaches: glare and conspicuity at a driver's eye, and from where on targets stay seen.

Arrays run over the stations, the farthest first; light is initial; nan means "not valid here", and a note says why.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scenelux.study.results.study import EyeResult, LampDrawing, SiteDrawing, StudyResult

__all__ = [
    "ApproachEntry",
    "ApproachResult",
    "ApproachStudy",
    "ApproachVariant",
    "SeenFrom",
    "TargetEntry",
    "TargetPath",
]

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class SeenFrom:
    """From where on an eye of some age sees a target without a break, against the stopping sight distance.

    Parameters
    ----------
    age_years : of the eye.
    outcome : seen; never, where it is not seen even at the last station; not valid, where the model has no answer.
    distance_m : along the road from the eye to the vehicle; nan unless seen [m].
    at_least : it is seen from the first station on, and perhaps from farther away.
    to_target_m : along the road from the eye to the target; nan unless seen [m].
    margin_m : to_target_m less the stopping sight distance; negative is too late [m].
    margin_s : the same at the driver's speed [s].
    why : in a sentence, where it is not simply seen.
    seen_by : what stands out at that place: the whole, or a part such as the legs.
    in_doubt : there is so much air before it at that place that the model is hardly good enough.
    seen_spans_m : stretches on which it is seen, by the way to the target, each from far to near [m].
    """

    age_years: float
    outcome: Literal["seen", "never", "not valid"]
    distance_m: float
    at_least: bool
    to_target_m: float
    margin_m: float
    margin_s: float
    why: str = ""
    seen_by: str = ""
    in_doubt: bool = False
    seen_spans_m: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, eq=False)
class TargetEntry:
    """A target in one duty state at one light level.

    Parameters
    ----------
    state, light : ids.
    target_cd_m2, background_cd_m2 : (stations,) of the whole, after the air, without the veil; nan where hidden.
    difference_cd_m2 : (stations,) between them, without that in the light of the air as far as the target.
    veil_cd_m2 : (ages, stations) in an eye that looks at the target [cd/m2].
    level : (ages, stations) signed visibility level of the whole or of the part that stands out most; negative where
        that is darker than what is beside it.
    seen_by : of each age at each station, which of them; empty where there is no level.
    whole_level : (ages, stations) of the whole alone.
    reversal : (stations,) between these the whole turns from darker to brighter, or back.
    seen : by age.
    """

    state: str
    light: str
    target_cd_m2: Array
    background_cd_m2: Array
    difference_cd_m2: Array
    veil_cd_m2: Array
    level: Array
    seen_by: tuple[tuple[str, ...], ...]
    whole_level: Array
    reversal: Flags
    seen: tuple[SeenFrom, ...]


@dataclass(frozen=True, eq=False)
class TargetPath:
    """A person or an object along an approach.

    Parameters
    ----------
    target_id, name : in words.
    kind : person or object.
    says : what it is: pose, clothing and vest, or the kind of object.
    position_m : of its middle, site frame [m].
    before_vehicle_m : how far before the vehicle's face the driver reaches it; negative beyond that face [m].
    size_arcmin : (stations,) least dimension of what is seen of the whole.
    ahead : (stations,) it is before the driver; behind or beside him it is no longer looked for.
    hidden_by_road, hidden_by_body : (stations,) nothing is seen of it.
    entries : every duty state at every light level.
    notes : why nan.
    """

    target_id: str
    name: str
    kind: Literal["person", "object"]
    says: str
    position_m: tuple[float, float, float]
    before_vehicle_m: float
    size_arcmin: Array
    ahead: Flags
    hidden_by_road: Flags
    hidden_by_body: Flags
    entries: tuple[TargetEntry, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class ApproachEntry:
    """The vehicle as the driver meets it in one duty state at one light level.

    Parameters
    ----------
    state, light : ids.
    adaptation_luminance_cd_m2 : of the light level.
    towards_eye_cd : (stations,) conspicuity: luminous intensity of all lamps that the eye sees, towards it and after
        the air [cd].
    brightest_lux : (stations,) illuminance at the eye by the lamp that gives most, square to the way to it [lx].
    brightest_lamp : (stations,) its name; empty where none is seen.
    outdoor_rating : (stations,) discomfort, 1 unbearable to 9 unnoticeable, unconfirmed.
    worst_veil_cd_m2 : age -> largest veil of the headline form over all gazes; nan when none is valid.
    seconds_above_adaptation : age -> with the veil above the adaptation luminance, of the worst gaze [s].
    dose_lx_s : of the worst gaze.
    notes : why nan.
    """

    state: str
    light: str
    adaptation_luminance_cd_m2: float
    towards_eye_cd: Array
    brightest_lux: Array
    brightest_lamp: tuple[str, ...]
    outdoor_rating: Array
    worst_veil_cd_m2: Mapping[float, float]
    seconds_above_adaptation: Mapping[float, float]
    dose_lx_s: float
    notes: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class ApproachResult:
    """A driver who comes along a lane to a vehicle.

    Parameters
    ----------
    approach_id, name, lane, direction, vehicle_id : in words; "from behind" meets the rear face.
    speed_m_s, reaction_s : of the driver.
    stopping_distance_m : for that speed and the steepest fall of the road; nan where brakes would not hold [m].
    visibility_level : from which on a target counts as seen: a choice.
    eye_height_m, ages_years, pigmentation, exposure_s : of the driver.
    headlamps : in words; none where the document wants none.
    weather : in words.
    distances_m, times_s : (stations,) along the road to the vehicle's nearest face, and since the first station.
    points_m : (stations, 3) eyes, site frame.
    eyes : glare, one for each age, with every duty state, light level and gaze.
    entries : every duty state at every light level.
    targets : people first.
    notes : of the whole approach.
    """

    approach_id: str
    name: str
    lane: str
    direction: str
    vehicle_id: str
    speed_m_s: float
    reaction_s: float
    stopping_distance_m: float
    visibility_level: float
    eye_height_m: float
    ages_years: tuple[float, ...]
    pigmentation: float
    exposure_s: float
    headlamps: str
    weather: str
    distances_m: Array
    times_s: Array
    points_m: Array
    eyes: tuple[EyeResult, ...]
    entries: tuple[ApproachEntry, ...]
    targets: tuple[TargetPath, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class ApproachVariant:
    """All approaches of one variant, and what a plan shows around them."""

    name: str
    say: str
    lamps: tuple[LampDrawing, ...]
    site: SiteDrawing
    approaches: tuple[ApproachResult, ...]


@dataclass(frozen=True, eq=False)
class ApproachStudy:
    """Approaches of a scene in one or more variants.

    about holds what every sheet says around its body; it has no variants of its own.
    """

    about: StudyResult
    variants: tuple[ApproachVariant, ...]
    notes: tuple[str, ...]
