"""Glare at an eye as pure functions, each with its printed range and nan outside it."""

from scenelux.vision.adaptation import (
    bleached_share,
    greatest_fall,
    indicative_adaptation,
    pupil_diameter_mm,
    retinal_illuminance_td,
)
from scenelux.vision.approach import Dose, TimeAbove, dose_lx_s, seconds_above, worst_station
from scenelux.vision.atmosphere import (
    backscatter_luminance,
    extinction_per_m,
    henyey_greenstein,
    transmittance,
)
from scenelux.vision.discomfort import de_boer, outdoor_discomfort, outdoor_glare_index
from scenelux.vision.eye import EyeLight, eye_light
from scenelux.vision.forms import FURTHER_VEIL_FORMS, HEADLINE_FORM, NEAR_FORM, VEIL_FORMS, VeilForm, veil_form
from scenelux.vision.mesopic import (
    Mesopic,
    mesopic_gain_percent,
    mesopic_luminance,
    mesopic_vision,
)
from scenelux.vision.natural import (
    MOON_PHASE_LAWS,
    moon_phase_factor,
    twilight_illuminance,
)
from scenelux.vision.rating import (
    RatingAround,
    environment_veil,
    glare_rating,
    rating_around,
    rating_gazes,
    rating_of_gaze,
)
from scenelux.vision.retroreflection import (
    CONTINUED_TO_DEG,
    RetroAngles,
    Retroreflection,
    RetroTable,
    retro_angles,
    retro_materials,
    retro_table,
    retroreflection_at,
    retroreflection_coefficient,
)
from scenelux.vision.stopping import (
    design_distance,
    stopping_sight_distance_ft,
    stopping_sight_distance_m,
)
from scenelux.vision.sun import SunPosition, moon_altitude, moon_phase, refraction, sun_position
from scenelux.vision.surface import (
    diffuse_luminance,
    retroreflected_luminance,
    road_luminance,
)
from scenelux.vision.target import (
    Visibility,
    contrast_reversal,
    target_arcmin,
    threshold_luminance_difference,
    visibility,
    visibility_level,
    weighted_visibility_level,
)
from scenelux.vision.threshold import threshold_increment_percent
from scenelux.vision.veil import VeilSum, picture_veil_per_lux, sum_veil, veil_per_lux, veiling_luminance

__all__ = [
    "CONTINUED_TO_DEG",
    "FURTHER_VEIL_FORMS",
    "HEADLINE_FORM",
    "MOON_PHASE_LAWS",
    "NEAR_FORM",
    "VEIL_FORMS",
    "Dose",
    "EyeLight",
    "Mesopic",
    "RatingAround",
    "RetroAngles",
    "RetroTable",
    "Retroreflection",
    "SunPosition",
    "TimeAbove",
    "VeilForm",
    "VeilSum",
    "Visibility",
    "backscatter_luminance",
    "bleached_share",
    "contrast_reversal",
    "de_boer",
    "design_distance",
    "diffuse_luminance",
    "dose_lx_s",
    "environment_veil",
    "extinction_per_m",
    "eye_light",
    "glare_rating",
    "greatest_fall",
    "henyey_greenstein",
    "indicative_adaptation",
    "mesopic_gain_percent",
    "mesopic_luminance",
    "mesopic_vision",
    "moon_altitude",
    "moon_phase",
    "moon_phase_factor",
    "outdoor_discomfort",
    "outdoor_glare_index",
    "picture_veil_per_lux",
    "pupil_diameter_mm",
    "rating_around",
    "rating_gazes",
    "rating_of_gaze",
    "refraction",
    "retinal_illuminance_td",
    "retro_angles",
    "retro_materials",
    "retro_table",
    "retroreflected_luminance",
    "retroreflection_at",
    "retroreflection_coefficient",
    "road_luminance",
    "seconds_above",
    "stopping_sight_distance_ft",
    "stopping_sight_distance_m",
    "sum_veil",
    "sun_position",
    "target_arcmin",
    "threshold_increment_percent",
    "threshold_luminance_difference",
    "transmittance",
    "twilight_illuminance",
    "veil_form",
    "veil_per_lux",
    "veiling_luminance",
    "visibility",
    "visibility_level",
    "weighted_visibility_level",
    "worst_station",
]
