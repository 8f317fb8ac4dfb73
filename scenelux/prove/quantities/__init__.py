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
    targets,
    weather,
)
from scenelux.prove.signature import Quantity

__all__ = ["QUANTITIES"]

QUANTITIES: Mapping[str, Quantity] = {
    name: getattr(subject, name)
    for subject in (points, grids, directions, beams, colours, glare, discomfort, targets, dusk, roads, retro, weather)
    for name in subject.__all__
}
"""Name of a quantity -> its function, subject by subject."""
