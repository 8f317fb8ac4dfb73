"""Why a value at an eye is not valid or is no more than part of the truth, in sentences for the reader."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from scenelux.scene.weather import Weather
from scenelux.vision import HEADLINE_FORM, VEIL_FORMS, veil_form
from scenelux.vision.approach import Dose, TimeAbove
from scenelux.vision.discomfort import ADAPTATION_RANGE_CD_M2, ANGLE_RANGE_DEG
from scenelux.vision.threshold import MINIMUM_ROAD_LUMINANCE_CD_M2

__all__ = ["dark_road", "hazy", "inside_body", "left_out", "other_ranges", "outside_headline", "too_near", "unseen"]

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

_NAMED = 3  # stations named one by one


def inside_body(distances_m: Array, inside: Flags) -> tuple[str, ...]:
    """Says at which stations the eye lies inside a body."""
    if not inside.any():
        return ()
    where = "" if len(inside) == 1 else f" at {_stations(distances_m, inside)}"
    return (f"the eye lies inside a body{where}: no value there",)


def hazy(
    weather: Weather, veil: Array | None = None, air: Array | None = None, limit: float | None = None
) -> Iterator[str]:
    """Says what the air does to the light on its way, what of it is in the veil, and what stands beside it."""
    if weather.visibility_m is None:
        return
    yield (
        f"{weather.kind}, visibility {weather.visibility_m:g} m: veil, its ratio, threshold increment and ratings are "
        "of the light that comes straight through the air; the lit air along the line of sight (single scatter, "
        "without shadows in the air and natural light) takes contrast as a veil does and stands beside them as air "
        "luminance; the veil of the glow around lamps is left out"
    )
    if veil is None or air is None or not np.isfinite(veil + air).any():
        return
    if limit is not None and np.nanmax(veil) <= limit < np.nanmax(veil + air):
        yield f"veil and lit air together lie above the limit of {limit:.3g} cd/m2, the veil alone does not"


def too_near(lamp_ids: Sequence[str], distances_m: Array, lux: Array, inside: Flags) -> tuple[str, ...]:
    """Says which lamps that are on stand too near to an eye for their light to have a value."""
    return tuple(
        f"{lamp} is nearer than a fortieth of its opening at {_stations(distances_m, flags)}: no value there"
        for lamp, flags in zip(lamp_ids, np.isnan(lux) & ~inside, strict=True)
        if flags.any()
    )


def outside_headline(lamp_ids: Sequence[str], distances_m: Array, lux: Array, angle_deg: Array) -> tuple[str, ...]:
    """Says which lamps stand outside the headline form's range, on which side of it, and where."""
    form = veil_form(HEADLINE_FORM)
    sides: tuple[tuple[str, Callable[[Array], Flags]], ...] = (
        (f"nearer than {form.minimum_deg:g} deg to", lambda angle: angle < form.minimum_deg),
        (f"farther than {form.maximum_deg:g} deg from", lambda angle: angle >= form.minimum_deg),
    )
    lit = (lux > 0.0) & ~form.covers(angle_deg)
    return tuple(
        f"{lamp} is {words} the line of sight at {_stations(distances_m, flags)}: no {HEADLINE_FORM} veil there"
        for index, lamp in enumerate(lamp_ids)
        for words, side in sides
        if (flags := lit[index] & side(angle_deg[index])).any()
    )


def other_ranges(lamp_ids: Sequence[str], lux: Array, angle_deg: Array, discomfort: Array) -> Iterator[str]:
    """Says which lamps leave the other forms and the discomfort rating without a value at some stations."""
    for form in VEIL_FORMS:
        names = _lamps(lamp_ids, (lux > 0.0) & ~form.covers(angle_deg))
        if form.name != HEADLINE_FORM and names:
            yield f"{form.name} holds from {form.span}, outside which lie at some stations: {names}"
    valid = np.isfinite(lux).all(axis=0)
    if np.isnan(discomfort[valid]).any():
        (least, most), (dim, bright) = ANGLE_RANGE_DEG, ADAPTATION_RANGE_CD_M2
        names = _lamps(lamp_ids, (lux > 0.0) & ((angle_deg < least) | (angle_deg > most)))
        beyond = f"; outside the angles lie at some stations: {names}" if names else ""
        yield f"the discomfort rating holds from {least:g} to {most:g} deg and {dim:g} to {bright:g} cd/m2{beyond}"


def dark_road(road_luminance_cd_m2: float) -> tuple[str, ...]:
    """Says that the road is too dark for the threshold increment."""
    least = MINIMUM_ROAD_LUMINANCE_CD_M2
    if road_luminance_cd_m2 >= least:
        return ()
    return (f"no threshold increment below a road luminance of {least:g} cd/m2, here {road_luminance_cd_m2:.3g} cd/m2",)


def left_out(above: TimeAbove | None, dose: Dose | None) -> tuple[str, ...]:
    """Says how much of the path the seconds above the limit and the dose leave out."""
    gaps: dict[tuple[float, int], list[str]] = {}
    named: Mapping[str, TimeAbove | Dose | None] = {"seconds": above, "dose": dose}
    for name, sum_ in named.items():
        if sum_ is not None and sum_.stations_left_out:
            gaps.setdefault((sum_.seconds_not_valid, sum_.stations_left_out), []).append(name)
    return tuple(
        f"{' and '.join(names)} {'leaves' if names == ['dose'] else 'leave'} out {seconds:.1f} s of the path "
        f"({stations} {'station' if stations == 1 else 'stations'} not valid)"
        for (seconds, stations), names in gaps.items()
    )


def unseen(lamp_ids: Sequence[str], level: Array, candela: Array, clear: Flags) -> tuple[str, ...]:
    """Says which lamps are on and yet give the eye nothing at any station, and why."""
    on = level > 0.0
    away = on & (candela == 0.0).all(axis=1)
    hidden = on & ~away & ~((candela > 0.0) & clear).any(axis=1)
    named = (("faces away", away), ("hidden by a body", hidden))
    return tuple(f"{why}: {_lamps(lamp_ids, flags[:, None])}" for why, flags in named if flags.any())


def _lamps(lamp_ids: Sequence[str], flags: Flags) -> str:
    """Names of the lamps for which any station is flagged, (lamps, stations)."""
    return ", ".join(lamp for lamp, ever in zip(lamp_ids, flags, strict=True) if ever.any())


def _stations(distances_m: Array, flags: Flags) -> str:
    where = ", ".join(f"{distance:g} m" for distance in distances_m[flags][:_NAMED])
    more = int(flags.sum()) - _NAMED
    return f"{where} and {more} more" if more > 0 else where
