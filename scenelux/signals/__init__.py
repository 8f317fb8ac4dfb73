"""Flashing light as pure functions: waveforms, effective intensity, measures, flash safety, coverage around a truck."""

from scenelux.signals.effective import EFFECTIVE_SOURCES, MODELS, VISUAL_TIME_S, Model, effective_intensity
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
    "MODELS",
    "VISUAL_TIME_S",
    "Model",
    "Timeline",
    "Waveform",
    "common_period_us",
    "composite",
    "effective_intensity",
    "from_pattern",
    "from_segments",
    "timeline",
]
