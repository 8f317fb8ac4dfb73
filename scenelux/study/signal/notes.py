"""What a study of flashing lamps says about its formulas and choices."""

from __future__ import annotations

from scenelux.placement.signals import FAR_M
from scenelux.signals import EFFECTIVE_SOURCES, GROUP_GAP_S, GROUP_SOURCE, MODELS, VISUAL_TIME_S
from scenelux.study.signal.measures import DARK_FRACTION, MOST_SEARCHED, SEARCHED

__all__ = ["signal_notes"]


def signal_notes() -> tuple[str, ...]:
    """Formulas, choices and their sources."""
    models = (
        f"effective intensity, {model}: a = {VISUAL_TIME_S[model]:g} s; {EFFECTIVE_SOURCES[model]} "
        f"({EFFECTIVE_SOURCES[model].status})"
        for model in MODELS
    )
    return (
        *models,
        f"{SEARCHED} is left out where a cycle has more than {MOST_SEARCHED} switchings",
        "effective intensity is for lights near the threshold of sight: none of the models is adequate far above it; "
        "the steady part of the light is left out",
        f"directions are those of eyes {FAR_M / 1000.0:g} km away, from the vehicle's own plane; bodies and objects "
        "hide, people do not; a lamp is hidden or seen as a whole, by its middle",
        "every switching instant is kept; clocks are shown as they begin together, and clocks that run apart are told "
        "over all phases beside",
        f"dark is below {100.0 * DARK_FRACTION:g} % of the direction's own mean: a choice",
        f"pulses less than {1000.0 * GROUP_GAP_S:g} ms apart are one flash: {GROUP_SOURCE} ({GROUP_SOURCE.status})",
        "zones A front, B right, C rear, D left, parted at 45 deg: from memory (unconfirmed)",
        "flash safety is told and never judged: a lamp rule may allow a rate above the screen, made for pictures",
        "intensity is initial, at the levels of the duty state and the light level",
    )
