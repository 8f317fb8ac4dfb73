"""Every quantity that can be proved: a plain function each, whose name is that of the quantity."""

from __future__ import annotations

from collections.abc import Mapping

from scenelux.prove.quantities import (
    beams,
    colours,
    directions,
    discomfort,
    dusk,
    glare,
    grids,
    points,
    retro,
    roads,
    signals,
    targets,
    weather,
)
from scenelux.prove.signature import Quantity

__all__ = ["QUANTITIES"]

_SUBJECTS = (
    points,
    grids,
    directions,
    beams,
    colours,
    glare,
    discomfort,
    targets,
    dusk,
    roads,
    retro,
    weather,
    signals,
)

QUANTITIES: Mapping[str, Quantity] = {name: getattr(subject, name) for subject in _SUBJECTS for name in subject.__all__}
"""Name of a quantity -> its function, subject by subject."""
