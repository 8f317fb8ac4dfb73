"""Flashing light: effective intensity, power, rate, zones around a truck, arrow boards."""

from __future__ import annotations

import math
from typing import Annotated, Literal

from scenelux.errors import UsageError
from scenelux.prove.signature import Numbers, Rows
from scenelux.signals import Waveform, arrow_boards, from_pattern, from_segments, measured
from scenelux.signals import effective_intensity as effective_of
from scenelux.signals import elevation_of_eye as elevation_of
from scenelux.signals import intensity_for_range as intensity_of_range
from scenelux.signals import solid_angle_distance as distance_of_solid_angle
from scenelux.signals import zone_of_direction as zone_of
from scenelux.signals.effective import Model
from scenelux.signals.safety import SCREEN_SOLID_ANGLE_SR
from scenelux.timing import named_pattern

__all__ = [
    "arrow_board_legibility",
    "effective_intensity",
    "elevation_of_eye",
    "flash_frequency",
    "intensity_for_range",
    "optical_power",
    "solid_angle_distance",
    "zone_of_direction",
]

Pulses = Annotated[
    Rows | None,
    "in order: [duration in s, intensity in cd], or [duration, intensity at its start, at its end]; 0 cd is a gap",
]
PatternText = Annotated[
    str | None, "instead: name of a common pattern, or its text, such as 75 per minute: on 10 %, off"
]
Peak = Annotated[float, "of a pattern at full light"]
Repeated = Annotated[bool, "whether they repeat for ever; a pattern always does"]


def effective_intensity(
    pulses: Pulses = None,
    pattern: PatternText = None,
    peak_cd: Peak = 1.0,
    model: Annotated[Model, "of the eye"] = "blondel-rey-douglas",
    a_s: Annotated[float | None, "visual time constant, above 0; 0.21 of blondel-rey, 0.2 of the others"] = None,
    repeated: Repeated = False,
) -> Annotated[float, "effective intensity [cd]"]:
    """Effective intensity of pulses alone in the dark, or repeated, by one of five models."""
    light = _light(pulses, pattern, peak_cd)
    if light is None or (a_s is not None and not 0.0 < a_s < math.inf):
        return math.nan
    return float(effective_of(light, model, a_s=a_s, repeated=repeated or pulses is None))


def optical_power(
    pulses: Pulses = None, pattern: PatternText = None, peak_cd: Peak = 1.0
) -> Annotated[dict[str, float], "power_cd_s_per_min", "mean_cd", "flash_energy_cd_s"]:
    """Intensity of repeated pulses summed over a minute, its mean, and its sum over one flash."""
    light = _light(pulses, pattern, peak_cd)
    if light is None:
        return dict.fromkeys(("power_cd_s_per_min", "mean_cd", "flash_energy_cd_s"), math.nan)
    found = measured(light)
    return {
        "power_cd_s_per_min": found.optical_power_cd_s_per_min,
        "mean_cd": found.mean_cd,
        "flash_energy_cd_s": found.flash_energy_cd_s,
    }


def flash_frequency(
    pulses: Pulses = None,
    pattern: PatternText = None,
    group_gap_s: Annotated[float, "shorter gaps part pulses of one flash, 0 or more"] = 0.1,
) -> Annotated[dict[str, float], "rate_hz", "per_min", "pulse_rate_hz", "on_time_s", "longest_dark_s"]:
    """Flashes of repeated pulses, pulses, the longest on-time of a flash and the longest gap; lit is above a tenth."""
    light = _light(pulses, pattern, 1.0)
    if light is None or not group_gap_s >= 0.0:
        return dict.fromkeys(("rate_hz", "per_min", "pulse_rate_hz", "on_time_s", "longest_dark_s"), math.nan)
    found = measured(light, group_gap_s=group_gap_s)
    return {
        "rate_hz": found.flash_rate_hz,
        "per_min": 60.0 * found.flash_rate_hz,
        "pulse_rate_hz": found.pulse_rate_hz,
        "on_time_s": found.longest_lit_s,
        "longest_dark_s": found.longest_dark_s,
    }


def zone_of_direction(
    azimuth_deg: Annotated[float, "clockwise from the front"],
) -> Annotated[str, "A front, B right, C rear or D left"]:
    """Zone of a direction around a vehicle, parted at 45 deg; a limit belongs to the zone clockwise of it."""
    return zone_of(azimuth_deg)


def arrow_board_legibility(
    type: Annotated[Literal["A", "B", "C", "D"], "of the board"],
) -> Annotated[dict[str, float], "legibility_m", "legibility_mi", "elements"]:
    """Least distance at which an arrow board of a type is legible, and its least number of lamps."""
    board = next(board for board in arrow_boards() if board.type == type)
    return {
        "legibility_m": board.legibility_m,
        "legibility_mi": board.legibility_mi,
        "elements": float(board.elements),
    }


def elevation_of_eye(
    eye_height_m: Annotated[float, "above level ground"],
    lamp_height_m: Annotated[float, "above level ground"],
    distance_m: Annotated[float, "along the ground, above 0"],
) -> Annotated[float, "angle above the horizontal [deg]"]:
    """Angle above the horizontal at which a lamp sends light to an eye."""
    return float(elevation_of(eye_height_m, lamp_height_m, distance_m))


def intensity_for_range(
    range_nmi: Annotated[float, "luminous range in nautical miles, above 0"],
    transmissivity: Annotated[float, "share of light that a nautical mile of air leaves, above 0 to 1"] = 0.8,
    threshold_lx: Annotated[float, "illuminance at the eye that is just seen, above 0"] = 2e-7,
) -> Annotated[float, "intensity [cd]"]:
    """Steady intensity that is just seen over a distance (33 CFR 84.15)."""
    return float(intensity_of_range(range_nmi, transmissivity=transmissivity, threshold_lx=threshold_lx))


def solid_angle_distance(
    area_m2: Annotated[float, "lit area as seen from the eye, 0 or more"],
    solid_angle_sr: Annotated[float, "above 0; that of the screen unless stated"] = SCREEN_SOLID_ANGLE_SR,
) -> Annotated[float, "distance [m]"]:
    """Distance at which a lit area fills a solid angle; nearer it fills more."""
    return distance_of_solid_angle(area_m2, solid_angle_sr)


def _light(pulses: Rows | None, pattern: str | None, peak_cd: float) -> Waveform | None:
    """The light of one cycle; none where a duration or an intensity is outside its range."""
    if pattern is not None and pulses is None:
        return from_pattern(named_pattern(pattern), peak_cd) if peak_cd >= 0.0 else None
    if pulses is None or pattern is not None:
        raise UsageError("needs one kind of light", key="pulses", accepted="give either pulses or pattern")
    rows: list[Numbers] = [row if len(row) > 2 else (*row, row[-1]) for row in pulses]
    if any(len(row) != 3 for row in rows) or any(len(row) == 1 for row in pulses):
        raise UsageError(
            "is not a pulse", key="pulses", accepted="give [duration, intensity] or [duration, at start, at end]"
        )
    if any(not row[0] > 0.0 or min(row[1:]) < 0.0 for row in rows):
        return None
    return from_segments(*zip(*rows, strict=True))
