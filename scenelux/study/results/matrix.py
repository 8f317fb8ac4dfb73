"""The state matrix: levels of circuits with their light, glare and load.

Light on areas is maintained, at eyes initial; nan means "not valid here".
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

__all__ = ["CircuitLoad", "Load", "MatrixArea", "MatrixEye", "MatrixRow"]


@dataclass(frozen=True)
class MatrixArea:
    """Maintained light on an area in one row of the state matrix [lx]."""

    area_id: str
    name: str
    least_lx: float
    average_lx: float


@dataclass(frozen=True)
class MatrixEye:
    """The worst veil of an eye over its gazes and stations, and the gaze that has it [cd/m2]."""

    eye_id: str
    name: str
    gaze: str
    veil_cd_m2: float


@dataclass(frozen=True)
class CircuitLoad:
    """One circuit that burns.

    Parameters
    ----------
    circuit, level : and its level, 0 to 1, as luminous output.
    power_w, current_a : taken by its lamps [W, A]; nan where a card states no power.
    drop_v, lamp_v : lost along the harness, and left at the lamps [V]; nan without a harness.
    light_share : of the light stated for the level that is left at that voltage; nan where no curve is stated.
    peak_cd : greatest intensity of its brightest lamp at the level and that voltage [cd]; nan as the share.
    """

    circuit: str
    level: float
    power_w: float
    current_a: float
    drop_v: float
    lamp_v: float
    light_share: float
    peak_cd: float


@dataclass(frozen=True)
class Load:
    """What a set of levels takes from the supply.

    Parameters
    ----------
    circuits : those that burn.
    current_a : of all circuits, and of the other loads [A].
    idle_spare_a, driving_spare_a : what the alternator has left; negative is taken from the battery [A].
    battery_h : until the usable charge is gone with the engine off [h]; inf where nothing is taken.
    idle_battery_h : the same at idle; inf where the alternator carries all.
    shed : circuits that go first, in order, until the alternator at idle carries the rest.
    notes : what is not known.
    """

    circuits: tuple[CircuitLoad, ...]
    current_a: float
    idle_spare_a: float
    driving_spare_a: float
    battery_h: float
    idle_battery_h: float
    shed: tuple[str, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True)
class MatrixRow:
    """One duty state at one light level, or a further set of levels that the rules make.

    Parameters
    ----------
    name : "working, night", or the rules that make it.
    state, light : ids; empty for a further set of levels.
    reached : whether the rules ever make these levels.
    story : the inputs nearest to normal that make them; empty when none do.
    levels : circuit -> 0 to 1.
    areas, eyes : light and glare.
    load : none without a supply.
    settings : circuit -> what its devices are set to for the level, in words, where the document says how.
    """

    name: str
    state: str
    light: str
    reached: bool
    story: str
    levels: Mapping[str, float]
    areas: tuple[MatrixArea, ...]
    eyes: tuple[MatrixEye, ...]
    load: Load | None
    settings: Mapping[str, str] = field(default_factory=dict)
