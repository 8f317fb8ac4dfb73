"""The eye and the sky between day and night: natural light, mesopic luminance, adaptation."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Literal

from scenelux.prove.quantities.lists import check_rising, matched
from scenelux.prove.signature import Numbers
from scenelux.vision import (
    bleached_share,
    greatest_fall,
    indicative_adaptation,
    mesopic_gain_percent,
    mesopic_vision,
    pupil_diameter_mm,
    refraction,
    retinal_illuminance_td,
)
from scenelux.vision import moon_phase_factor as phase_factor_of
from scenelux.vision import sun_position as sun_position_of
from scenelux.vision import twilight_illuminance as twilight_of

__all__ = [
    "adaptation_course",
    "adaptation_fall",
    "bleaching",
    "mesopic_luminance",
    "moon_phase_factor",
    "pupil_diameter",
    "retinal_illuminance",
    "sun_position",
    "twilight_illuminance",
]


def twilight_illuminance(
    altitude_deg: Annotated[float, "geometric, of the middle of sun (-18 to 90) or moon (-0.8 to 90)"],
    body: Annotated[Literal["sun", "full moon"], "sun or full moon"] = "sun",
) -> Annotated[float, "illuminance [lx]"]:
    """Horizontal illuminance by natural light under a clear sky."""
    return float(twilight_of(altitude_deg, body))


def moon_phase_factor(
    phase_deg: Annotated[float, "0 full to 180 new"],
    law: Annotated[Literal["circular-171", "magnitude"], "of the phases"] = "circular-171",
) -> Annotated[float, "factor"]:
    """What a phase leaves of the light of the full moon."""
    return float(phase_factor_of(phase_deg, law))


def sun_position(
    utc: Annotated[datetime, "1950 to 2050; without an offset it is UTC"],
    latitude_deg: Annotated[float, "-90 to 90, north positive"],
    longitude_deg: Annotated[float, "-360 to 360, east positive"],
    pressure_hpa: Annotated[float, "of the air at the place, for refraction, 0 or more"] = 1010.0,
    temperature_c: Annotated[float, "of the air at the place, for refraction, above -273"] = 10.0,
) -> Annotated[dict[str, float], "altitude_deg", "azimuth_deg", "apparent_altitude_deg"]:
    """Geometric altitude of the middle of the sun, azimuth (north 0, east 90), and the altitude seen through air."""
    found = sun_position_of(utc, latitude_deg, longitude_deg)
    altitude = float(found.altitude_deg)
    apparent = altitude + float(refraction(altitude, pressure_hpa, temperature_c))
    return {"altitude_deg": altitude, "azimuth_deg": float(found.azimuth_deg), "apparent_altitude_deg": apparent}


def mesopic_luminance(
    photopic_cd_m2: Annotated[float, "mean luminance of the field that the eye is used to, 0 or more"],
    sp_ratio: Annotated[float, "scotopic/photopic ratio of its light, above 0"],
) -> Annotated[dict[str, float], "luminance_cd_m2", "adaptation", "gain_percent"]:
    """Mesopic luminance of CIE 191, the state of the eye (1 as by day, 0 as by night) and the gain over photopic."""
    seen = mesopic_vision(photopic_cd_m2, sp_ratio)
    return {
        "luminance_cd_m2": float(seen.luminance_cd_m2),
        "adaptation": float(seen.adaptation),
        "gain_percent": float(mesopic_gain_percent(photopic_cd_m2, sp_ratio)),
    }


def pupil_diameter(
    luminance_cd_m2: Annotated[float, "mean of the field, above 0"],
    field_width_deg: Annotated[float, "of the field, above 0"] = 40.0,
    field_height_deg: Annotated[float, "of the field, above 0"] = 40.0,
) -> Annotated[float, "diameter [mm]"]:
    """Diameter of the pupil (Barten 1999)."""
    return float(pupil_diameter_mm(luminance_cd_m2, field_width_deg, field_height_deg))


def retinal_illuminance(
    luminance_cd_m2: Annotated[float, "0 or more"], pupil_mm: Annotated[float, "diameter of the pupil, above 0"]
) -> Annotated[float, "retinal illuminance [td]"]:
    """Light on the retina."""
    return float(retinal_illuminance_td(luminance_cd_m2, pupil_mm))


def bleaching(
    retinal_td: Annotated[float, "light on the retina, 0 or more"],
) -> Annotated[float, "share that is bleached"]:
    """Share of the pigment of cones that steady light bleaches."""
    return float(bleached_share(retinal_td))


def adaptation_fall(time_s: Annotated[float, "0 or more"]) -> Annotated[float, "share of the first luminance"]:
    """Least share of the first luminance to which adaptation may have fallen after so many seconds."""
    return float(greatest_fall(time_s))


def adaptation_course(
    times_s: Annotated[Numbers, "rising"],
    luminance_cd_m2: Annotated[Numbers, "background and veil together at each time, above 0"],
    rise_s: Annotated[float, "time in which the logarithm comes nearer by a factor of e, upwards, above 0"] = 0.1,
    fall_s: Annotated[float, "the same downwards, above 0"] = 2.0,
) -> Annotated[list[float], "luminance at each time [cd/m2]"]:
    """What the eye may be used to while the light around it changes: an indication."""
    if not (rise_s > 0.0 and fall_s > 0.0):
        return [float("nan")] * len(times_s)
    times, light = matched(times_s=times_s, luminance_cd_m2=luminance_cd_m2)
    check_rising("times_s", times)
    found = indicative_adaptation(times, light, rise_s=rise_s, fall_s=fall_s)
    return [float(value) for value in found]
