"""Whether each lamp of a scene has the signal colour that it is to show, and how far it is from the boundary."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from scenelux.colour.check import check_colour
from scenelux.colour.lamp import LampColour
from scenelux.colour.margin import boundary_distance
from scenelux.colour.regions import Region

__all__ = ["SignalColour", "check_signal_colours"]


@dataclass(frozen=True)
class SignalColour:
    """One lamp against one document's region of its signal colour."""

    lamp: str
    colour: str
    region: Region | None  # none where no table has the colour or none is asked of the lamp
    verdict: Literal["inside", "outside", "not known"]
    distance: float | None  # to the nearest boundary in x and y, positive inside; none without a chromaticity
    says: str


def check_signal_colours(
    lamps: Mapping[str, LampColour | None], colours: Mapping[str, str] | None = None
) -> tuple[SignalColour, ...]:
    """The chromaticity of each lamp against the regions of its signal colour, lamp by lamp, one row a document.

    A chromaticity that is assumed or unconfirmed, and a region that is, leave the answer not known; the distance is
    given all the same.

    Parameters
    ----------
    lamps : colour of each, from its chromaticity or the spectrum on its card; none where its card states none.
    colours : signal colour that a lamp is to show, white, amber, red ..; where none is given, the word of its own.

    Example
    -------
    >>> from scenelux.colour.lamp import lamp_colour
    >>> beacon = lamp_colour("amber", chromaticity_xy=(0.575, 0.420))
    >>> row = check_signal_colours({"beacon": beacon})[0]
    >>> row.verdict, round(row.distance, 4)
    ('inside', 0.0031)
    """
    return tuple(row for name, lamp in lamps.items() for row in _rows(name, lamp, (colours or {}).get(name)))


def _rows(name: str, lamp: LampColour | None, asked: str | None) -> list[SignalColour]:
    colour = asked or (lamp.word if lamp is not None else None)
    if lamp is None or colour is None:
        because = "its card states no colour" if lamp is None else "no signal colour is asked of it"
        return [SignalColour(name, colour or "", None, "not known", None, f"{name}: not known, {because}")]
    rows = [
        SignalColour(name, colour, one.region, "not known" if one.verdict == "not assessed" else one.verdict,
                     _distance(lamp, one.region), f"{name}: {one.says}")
        for one in check_colour(replace(lamp, word=colour))
    ]  # fmt: skip
    says = f"{name}: not known, no table has a region of {colour}"
    return rows or [SignalColour(name, colour, None, "not known", None, says)]


def _distance(lamp: LampColour, region: Region) -> float | None:
    point = lamp.chromaticity_xy.value
    return None if point is None else boundary_distance(*point, region)
