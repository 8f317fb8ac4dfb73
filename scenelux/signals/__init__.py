"""Flashing light as pure functions: waveforms, effective intensity, measures, flash safety, coverage around a truck."""

from scenelux.signals.arrows import ArrowBoard, ArrowTimes, arrow_boards, arrow_times, filament_light
from scenelux.signals.clocks import AllDark, OverPhases, PhaseCurve, Synchrony, all_dark, over_phases, synchrony
from scenelux.signals.effective import EFFECTIVE_SOURCES, MODELS, VISUAL_TIME_S, Model, effective_intensity
from scenelux.signals.measures import (
    GROUP_GAP_S,
    GROUP_SOURCE,
    Darkness,
    Flash,
    FlashMeasures,
    darkness,
    measured,
    optical_power,
)
from scenelux.signals.motion import Motion, MotionBand, apparent_motion, motion_band
from scenelux.signals.waveform import (
    Timeline,
    Waveform,
    common_period_us,
    composite,
    from_pattern,
    from_segments,
    timeline,
)

__all__ = [
    "EFFECTIVE_SOURCES",
    "GROUP_GAP_S",
    "GROUP_SOURCE",
    "MODELS",
    "VISUAL_TIME_S",
    "AllDark",
    "ArrowBoard",
    "ArrowTimes",
    "Darkness",
    "Flash",
    "FlashMeasures",
    "Model",
    "Motion",
    "MotionBand",
    "OverPhases",
    "PhaseCurve",
    "Synchrony",
    "Timeline",
    "Waveform",
    "all_dark",
    "apparent_motion",
    "arrow_boards",
    "arrow_times",
    "common_period_us",
    "composite",
    "darkness",
    "effective_intensity",
    "filament_light",
    "from_pattern",
    "from_segments",
    "measured",
    "motion_band",
    "optical_power",
    "over_phases",
    "synchrony",
    "timeline",
]
