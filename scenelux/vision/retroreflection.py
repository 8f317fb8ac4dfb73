"""Retroreflective material: sends light back to where it came from, and to eyes that are near there.

A driver sees tape and sheeting by the own headlamps. A lamp that stands elsewhere does nothing for it: there the
coefficient is 0, and what is left is the diffuse light of the surface.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.errors import UsageError
from scenelux.sources import Source
from scenelux.vision.tables import vision_table

__all__ = [
    "CONTINUED_TO_DEG",
    "RetroAngles",
    "RetroTable",
    "Retroreflection",
    "retro_angles",
    "retro_materials",
    "retro_table",
    "retroreflection_at",
    "retroreflection_coefficient",
]

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

CONTINUED_TO_DEG = 2.0
"""Observation angle to which a table may be continued: a choice; farther off nothing comes back."""

_NOT_COLOURS = {"observation_deg", "observation_arcmin", "entrance_deg", "status", "source", "note"}


@dataclass(frozen=True, eq=False)
class RetroTable:
    """Least coefficients of a new material in one colour, by observation angle (rows) and entrance angle (columns).

    A gap of the table is nan. unconfirmed tells which numbers were not confirmed.
    """

    material: str
    colour: str
    observation_deg: Array  # (rows,) rising
    entrance_deg: Array  # (columns,) rising, without sign
    coefficient: Array  # (rows, columns) [cd/(lx m2)]
    unconfirmed: Flags  # (rows, columns)
    source: Source


@dataclass(frozen=True, eq=False)
class Retroreflection:
    """Coefficients [cd/(lx m2)] at pairs of angles, which of them lie beyond the table, which rest on memory."""

    material: str
    colour: str
    coefficient: Array
    beyond: Flags
    unconfirmed: Flags
    source: Source


@dataclass(frozen=True, eq=False)
class RetroAngles:
    """Angles at a piece of material [deg]: lamp to eye, lamp to normal, eye to normal."""

    observation_deg: Array
    entrance_deg: Array
    view_deg: Array


def retro_materials() -> dict[str, tuple[str, ...]]:
    """Names of the materials and the colours of each.

    Example
    -------
    >>> retro_materials()["astm-d4956-iv"]
    ('white', 'yellow', 'orange', 'red')
    """
    return {
        name: tuple(dict.fromkeys(key for cell in material["cells"] for key in cell if key not in _NOT_COLOURS))
        for name, material in vision_table("retroreflection")["materials"].items()
    }


@cache
def retro_table(material: str, colour: str = "white") -> RetroTable:
    """Table of a material in one colour.

    Example
    -------
    >>> retro_table("iso-20471-separate").coefficient[0].tolist()
    [330.0, 290.0, 180.0, 65.0]
    """
    known = retro_materials()
    if material not in known:
        raise UsageError(
            "is not a retroreflective material", value=material, accepted=f"give one of {', '.join(known)}"
        )
    if colour not in known[material]:
        colours = ", ".join(known[material])
        raise UsageError(f"is not a colour of {material}", value=colour, accepted=f"give one of {colours}")
    document = vision_table("retroreflection")["materials"][material]
    cells = [cell for cell in document["cells"] if colour in cell]
    rows, columns = sorted({_observation(cell) for cell in cells}), sorted({_entrance(cell) for cell in cells})
    coefficient = np.full((len(rows), len(columns)), np.nan)
    unconfirmed = np.full(coefficient.shape, document["status"] == "unconfirmed")
    for cell in cells:
        at = rows.index(_observation(cell)), columns.index(_entrance(cell))
        coefficient[at] = cell[colour]
        unconfirmed[at] = cell.get("status", document["status"]) == "unconfirmed"
    source = Source(document["source"], status=document["status"])
    return RetroTable(material, colour, np.array(rows), np.array(columns), coefficient, unconfirmed, source)


def retroreflection_at(
    material: str,
    observation_deg: ArrayLike,
    entrance_deg: ArrayLike,
    *,
    colour: str = "white",
    continued: bool = False,
) -> Retroreflection:
    """Coefficients of retroreflection of a material, straight in their logarithm between the printed angles.

    Parameters
    ----------
    material, colour : names of `retro_materials`.
    observation_deg : (...) between lamp and eye at the material, 0 to 180 [deg].
    entrance_deg : (...) between lamp and normal, of either sign, up to 180 [deg].
    continued : beyond its last observation angle, and up to `CONTINUED_TO_DEG`, a table of two or more goes on by the
        slope of the logarithm between its last two, marked as beyond and unconfirmed. Measurements end there, the
        material does not: without it, a driver who comes near would see bright sheeting turn black in one step.

    Nearer to 0 than the first printed angle the first holds. Beyond the last one the coefficient is 0. In a gap of a
    table it is nan.

    Source
    ------
    CIE e-ILV 17-24-103 for the coefficient; the numbers with each material. The ends are a design choice.

    Example
    -------
    >>> found = retroreflection_at("astm-d4956-iii", [0.1, 0.35, 0.5, 3.0], -4.0, colour="blue")
    >>> found.coefficient.round(2).tolist(), found.beyond.tolist(), found.unconfirmed.tolist()
    ([24.0, 12.25, 7.5, 0.0], [False, False, False, True], [False, True, True, False])
    """
    table = retro_table(material, colour)
    observation, entrance = np.broadcast_arrays(
        np.asarray(observation_deg, np.float64), np.abs(np.asarray(entrance_deg, np.float64))
    )
    logarithm, unconfirmed = np.zeros(observation.shape), np.zeros(observation.shape, np.bool_)
    last = table.observation_deg[-1]
    goes_on = continued and len(table.observation_deg) > 1 and last < CONTINUED_TO_DEG
    end = CONTINUED_TO_DEG if goes_on else last
    for row, row_share in _neighbours(observation, table.observation_deg, end):
        for column, column_share in _neighbours(entrance, table.entrance_deg, table.entrance_deg[-1]):
            share = row_share * column_share
            used = share != 0.0
            logarithm += np.where(used, share * np.log(table.coefficient[row, column]), 0.0)
            unconfirmed |= used & table.unconfirmed[row, column]
    dark = (observation > end) | (entrance > table.entrance_deg[-1])
    beyond = dark | (observation > last)
    valid = (observation >= 0.0) & (entrance <= 180.0) & (observation <= 180.0)
    coefficient = np.where(valid, np.where(dark, 0.0, np.exp(logarithm)), np.nan)
    return Retroreflection(material, colour, coefficient, beyond, (unconfirmed | beyond) & ~dark, table.source)


def retroreflection_coefficient(
    material: str,
    observation_deg: ArrayLike,
    entrance_deg: ArrayLike,
    *,
    colour: str = "white",
    continued: bool = False,
) -> Array:
    """Coefficients of retroreflection alone [cd/(lx m2)], as of `retroreflection_at`.

    Parameters
    ----------
    material, observation_deg, entrance_deg, colour, continued : as in `retroreflection_at`.

    Example
    -------
    >>> retroreflection_coefficient("iso-20471-separate", [0.2, 0.6, 2.0], 5.0).round(1).tolist()
    [330.0, 99.5, 0.0]
    """
    found = retroreflection_at(material, observation_deg, entrance_deg, colour=colour, continued=continued)
    return found.coefficient


def retro_angles(lamp_m: ArrayLike, eye_m: ArrayLike, target_m: ArrayLike, normal: ArrayLike) -> RetroAngles:
    """The angles of retroreflection from where lamp, eye and material are.

    Parameters
    ----------
    lamp_m, eye_m, target_m : (..., 3) positions in one frame [m].
    normal : (..., 3) of the material, any length.

    Example
    -------
    >>> found = retro_angles([0, 0.37, 0.6], [0, 0, 1.08], [50, 0, 0.6], [-1, 0, 0])
    >>> found.observation_deg.round(3).tolist(), found.entrance_deg.round(3).tolist()
    (0.694, 0.424)
    """
    target = np.asarray(target_m, np.float64)
    to_lamp, to_eye = np.asarray(lamp_m, np.float64) - target, np.asarray(eye_m, np.float64) - target
    facing = np.asarray(normal, np.float64)
    return RetroAngles(_between(to_lamp, to_eye), _between(to_lamp, facing), _between(to_eye, facing))


def _observation(cell: dict[str, Any]) -> float:
    return float(cell["observation_deg"]) if "observation_deg" in cell else float(cell["observation_arcmin"]) / 60.0


def _entrance(cell: dict[str, Any]) -> float:
    return abs(float(cell["entrance_deg"]))


def _neighbours(angle: Array, printed: Array, end: float) -> tuple[tuple[NDArray[np.intp], Array], ...]:
    """The two printed angles around each angle, or the last two before it, and their shares; angles count up to end."""
    inside = np.clip(angle, printed[0], end)
    upper = np.clip(np.searchsorted(printed, inside, side="left"), min(1, len(printed) - 1), len(printed) - 1)
    lower = np.maximum(upper - 1, 0)
    step = np.where(upper > lower, printed[upper] - printed[lower], 1.0)
    share = np.where(upper > lower, (inside - printed[lower]) / step, 1.0)
    return (lower, 1.0 - share), (upper, share)


def _between(one: Array, other: Array) -> Array:
    across = np.linalg.norm(np.cross(one, other), axis=-1)  # exact for small angles, where a cosine is not
    return np.asarray(np.degrees(np.arctan2(across, (one * other).sum(axis=-1))))
