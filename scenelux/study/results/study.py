"""What a study found: frozen values that pictures, reports and JSON read, and nothing else reads the scene.

All positions are in the site frame (along, left, up) [m]; light is maintained for areas and initial for
eyes unless a name says otherwise; nan means "not valid here" and a note beside it says why.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scenelux.geometry import Axes, Vector
from scenelux.study.levels import light_of
from scenelux.study.results.crew import CrewEye, PersonLight, StandingPlaces

__all__ = [
    "AreaEntry",
    "AreaResult",
    "BodyDrawing",
    "EyeEntry",
    "EyeResult",
    "FigureDrawing",
    "InputFile",
    "LampDrawing",
    "LampOff",
    "LaneDrawing",
    "LuminaireFacts",
    "ProbePoint",
    "ProbeResult",
    "SiteDrawing",
    "SiteMap",
    "Statistics",
    "StudyResult",
    "VariantResult",
    "VerdictRow",
    "WindowEntry",
]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Statistics:
    """Statistics of the valid points of an area [lx]; uniformity is minimum over average."""

    minimum: float
    average: float
    maximum: float
    uniformity: float
    worst_point_m: Vector
    valid_points: int
    all_points: int


@dataclass(frozen=True)
class LampOff:
    """Statistics of an area with one lamp dead."""

    lamp_id: str
    minimum_lx: float
    average_lx: float
    worst_point_m: Vector


@dataclass(frozen=True)
class AreaEntry:
    """An area in one duty state at one light level."""

    state: str
    light: str
    illuminance_lx: Array  # (points,) maintained
    maintained: Statistics
    initial: Statistics
    lamps_off: tuple[LampOff, ...]
    ambient_lx: float  # natural light beside the lamps, never added to a verdict
    share_meeting: Mapping[str, float]  # rule id -> share of valid points at or above its limit, 0 to 1


@dataclass(frozen=True, eq=False)
class AreaResult:
    """An area: its points, what each lamp gives there at full output, and every state and light level."""

    area_id: str
    name: str
    plane: str  # horizontal, pavement, vertical, cylindrical, semi-cylindrical, hemispherical
    facing: str  # in words, for vertical and semi-cylindrical; else ""
    height_m: float
    outline_m: Array  # (corners, 3)
    grid_shape: tuple[int, int]  # rows along, columns left; points of a polygon outside it are nan
    cell_m: tuple[float, float]
    points_m: Array  # (rows*columns, 3), row by row, first row and column at the lowest coordinates
    lamp_ids: tuple[str, ...]
    by_lamp_lx: Array  # (lamps, points) initial, full output
    entries: tuple[AreaEntry, ...]
    on: str = ""  # body on whose top the area lies; empty for the ground


@dataclass(frozen=True, eq=False)
class EyeEntry:
    """An eye in one duty state at one light level with one gaze; arrays run over the stations."""

    state: str
    light: str
    gaze: str
    eye_illuminance_lx: Array  # (stations,) on the plane normal to the line of sight
    glare_angle_deg: Array  # (stations,) of the lamp that contributes most
    veil_cd_m2: Mapping[str, Array]  # form -> (stations,); nan where a source is outside the form's range
    veil_by_lamp_cd_m2: Array  # (lamps, stations), headline form
    threshold_increment_percent: Array  # (stations,)
    discomfort_rating: Array  # (stations,) de Boer, 1 unbearable to 9 unnoticeable, unconfirmed
    road_luminance_cd_m2: float
    valid_stations: int
    worst_station: int | None  # index, by headline form
    top_lamp: str | None  # contributes most at the worst station
    veil_limit_cd_m2: float | None
    veil_limit_from: str
    seconds_above: float | None  # at the posted speed; None for a fixed eye or without a limit
    dose_lx_s: float | None
    notes: tuple[str, ...]  # why nan, which lamps face away or are hidden
    air_luminance_cd_m2: Array | None = None  # (stations,) of the lit air along the gaze, in no veil; None: clear air


@dataclass(frozen=True, eq=False)
class EyeResult:
    """A driver's or other eye: its stations and every state, light level and gaze."""

    eye_id: str
    name: str
    kind: Literal["approach", "fixed"]
    lane: str
    direction: str  # "from behind", "from the front", or ""
    height_m: float
    age_years: float
    pigmentation: float
    speed_m_s: float | None
    headline_form: str
    distances_m: Array  # (stations,) along the road from the eye to the vehicle's nearest face
    points_m: Array  # (stations, 3)
    lamp_ids: tuple[str, ...]
    entries: tuple[EyeEntry, ...]


@dataclass(frozen=True)
class WindowEntry:
    """A window of a house near by: vertical illuminance and the light sent above the horizontal."""

    window_id: str
    name: str
    position_m: Vector
    state: str
    light: str
    vertical_lx: float  # initial
    flux_above_horizontal_percent: float  # of all lamps that are on
    note: str = ""  # why the illuminance is not valid


@dataclass(frozen=True)
class VerdictRow:
    """One rule judged on one area or eye in one state at one light level."""

    rule: str
    clause: str
    edition: str
    source_title: str
    source_status: str
    quantity: str  # illuminance, uniformity, veiling luminance, ...
    statistic: str
    plane: str
    subject: str  # area or eye id
    state: str
    light: str
    sense: Literal["at least", "at most"]
    limit: float
    value: float
    unit: str
    margin: float  # in the rule's unit, positive = better than the limit
    worst_point_m: Vector | None
    verdict: Literal["meets", "misses", "not assessed"]
    inside_uncertainty: bool  # the margin is smaller than the uncertainty of the lamp data
    because: str
    says: str = ""  # what the rule asks for in words; of a rule of the user's own, the user's reason


@dataclass(frozen=True)
class LampDrawing:
    """A lamp as drawn on plans: where, which way, and what it is."""

    lamp_id: str
    luminaire: str
    kind: str
    circuit: str
    position_m: Vector
    beam: Vector
    heading_deg: float  # on the vehicle
    tilt_deg: float


@dataclass(frozen=True)
class BodyDrawing:
    """A box of a vehicle: centre, half sizes and axes in the site frame."""

    vehicle_id: str
    body_id: str
    centre_m: Vector
    half_m: Vector
    axes: Axes


@dataclass(frozen=True)
class FigureDrawing:
    """A person or an object: its kind, its feet, the way it faces in plan, and its boxes; site frame."""

    figure_id: str
    name: str
    kind: Literal["person", "cone", "barricade", "panel"]
    position_m: Vector
    facing_deg: float
    boxes: tuple[BodyDrawing, ...]


@dataclass(frozen=True)
class LaneDrawing:
    """A lane of the road: centre line and width, straight along the site."""

    lane_id: str
    name: str
    centre_left_m: float
    width_m: float
    direction: Literal["same", "opposite"]


@dataclass(frozen=True)
class SiteDrawing:
    """What a plan shows around the light."""

    lanes: tuple[LaneDrawing, ...]
    bodies: tuple[BodyDrawing, ...]
    vehicles: tuple[tuple[str, Vector, float], ...]  # id, origin, heading [deg]
    surface: str
    figures: tuple[FigureDrawing, ...] = ()  # objects first


@dataclass(frozen=True, eq=False)
class SiteMap:
    """Horizontal illuminance on the ground all around, for the false-colour plan (maintained)."""

    along_m: Array  # (rows,) cell centres
    left_m: Array  # (columns,)
    lamp_ids: tuple[str, ...]
    by_lamp_lx: Array  # (lamps, rows, columns) maintained, full output; nan under and inside bodies
    levels: Mapping[tuple[str, str], Array]  # (state, light) -> (lamps,)

    def illuminance_lx(self, state: str, light: str) -> Array:
        """Map of one state and light level, (rows, columns) [lx]."""
        return light_of(self.levels[state, light], self.by_lamp_lx)


@dataclass(frozen=True)
class LuminaireFacts:
    """A luminaire of the study: what it is and how far its data go."""

    name: str
    title: str
    data_class: str
    source_status: str
    flux_lm: float
    peak_cd: float
    power_w: float | None
    lamps: tuple[str, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True)
class InputFile:
    """A file that the study read."""

    file: str
    sha256: str


@dataclass(frozen=True, eq=False)
class VariantResult:
    """Everything found for one variant."""

    name: str
    say: str
    lamps: tuple[LampDrawing, ...]
    site: SiteDrawing
    map: SiteMap
    areas: tuple[AreaResult, ...]
    eyes: tuple[EyeResult, ...]
    windows: tuple[WindowEntry, ...]
    verdicts: tuple[VerdictRow, ...]
    crew: tuple[CrewEye, ...] = ()
    people: tuple[PersonLight, ...] = ()
    standing: tuple[StandingPlaces, ...] = ()


@dataclass(frozen=True, eq=False)
class StudyResult:
    """A whole study: its variants (the base first), what went in, and the cautions."""

    title: str
    scene_name: str
    units: Literal["metric", "us"]  # for output
    demonstration: bool  # invented data
    states: Mapping[str, str]  # id -> in words
    lights: Mapping[str, str]
    variants: tuple[VariantResult, ...]
    luminaires: tuple[LuminaireFacts, ...]
    inputs: tuple[InputFile, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class ProbePoint:
    """Illuminance at one point, in all and by lamp; nan with a reason where it has no meaning."""

    position_m: Vector
    illuminance_lx: float
    by_lamp_lx: Mapping[str, float]
    reason: str


@dataclass(frozen=True)
class ProbeResult:
    """Points asked for in one duty state at one light level."""

    scene_name: str
    variant: str
    state: str
    light: str
    losses: Literal["maintained", "initial"]
    facing: str | Vector  # a plane's normal in the site frame, or the name of the receiver
    facing_words: str
    units: Literal["metric", "us"]
    points: tuple[ProbePoint, ...]
