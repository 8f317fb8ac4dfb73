"""Why a value in an eye of the crew is not valid, what a rating leaves out, and where the formulas come from."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import isnan

import numpy as np
from numpy.typing import NDArray

from scenelux.vision import HEADLINE_FORM, veil_form
from scenelux.vision.rating import (
    GLARE_RATING_FORM,
    GLARE_RATING_SOURCE,
    GLARE_RATING_WORDS,
    RATING_AZIMUTHS_DEG,
    RATING_DOWN_DEG,
)

__all__ = ["Seen", "crew_notes", "glare_notes"]

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

_VIEWS = len(RATING_AZIMUTHS_DEG)


@dataclass(frozen=True, eq=False)
class Seen:
    """What an eye gets in one duty state at one light level, by line of sight: the views all around, then its own.

    Parameters
    ----------
    lamp_ids, names : (lamps,) and (gazes,).
    rising : (gazes,) above the horizontal.
    lux, angle_deg : (lamps, gazes).
    rating : (gazes,) glare rating.
    inside : the eye lies inside a body.
    surroundings, mean_lx, ambient_lx : what is around, its mean illuminance by lamps, and natural light [lx].
    """

    lamp_ids: Sequence[str]
    names: Sequence[str]
    rising: Flags
    lux: Array
    angle_deg: Array
    rating: Array
    inside: bool
    surroundings: str
    mean_lx: float
    ambient_lx: float


def glare_notes(seen: Seen) -> Iterator[str]:
    """Why there is no value, and what the rating leaves out.

    Parameters
    ----------
    seen : by the eye.
    """
    if seen.inside:
        yield "the eye lies inside a body: no value"
        return
    if (near := np.asarray(np.isnan(seen.lux).any(axis=1))).any():
        yield f"nearer to the eye than a fortieth of its opening, no value: {_named(seen, near)}"
    yield from _no_veil(seen)
    if isnan(seen.mean_lx) or seen.mean_lx <= 0.0:
        yield f"no light on {seen.surroundings}: no glare rating"
        return
    yield from _no_rating(seen)
    if np.isneginf(seen.rating[:_VIEWS]).all():
        yield "no lamp is seen within the range of the glare rating"
    if seen.ambient_lx > seen.mean_lx:
        yield f"rating by lamps alone: {seen.ambient_lx:g} lx of natural light are left out and would make it lower"


def _no_veil(seen: Seen) -> Iterator[str]:
    least = veil_form(HEADLINE_FORM).minimum_deg
    flags = (seen.lux > 0.0) & (seen.angle_deg < least)
    for at in range(_VIEWS, len(seen.names)):
        if flags[:, at].any():
            yield (
                f"{seen.names[at]}: no {HEADLINE_FORM} veil, nearer than {least:g} deg to the line of sight is "
                f"{_named(seen, flags[:, at])}"
            )


def _no_rating(seen: Seen) -> Iterator[str]:
    """Views and lines of sight without a rating; a lamp may be too near to them."""
    least = veil_form(GLARE_RATING_FORM).minimum_deg
    flags = (seen.lux > 0.0) & (seen.angle_deg < least)
    if (around := flags[:, :_VIEWS]).any():
        yield (
            f"{int(around.any(axis=0).sum())} of {_VIEWS} views have no rating and may hold the largest, nearer than "
            f"{least:g} deg to the line of sight is {_named(seen, np.asarray(around.any(axis=1)))}"
        )
    for at in range(_VIEWS, len(seen.names)):
        if seen.rising[at]:
            yield f"{seen.names[at]}: above the horizontal, where the glare rating does not hold"
        elif flags[:, at].any():
            named = _named(seen, flags[:, at])
            yield f"{seen.names[at]}: no rating, nearer than {least:g} deg to the line of sight is {named}"


def _named(seen: Seen, flags: Flags) -> str:
    return ", ".join(lamp for lamp, flag in zip(seen.lamp_ids, flags.tolist(), strict=True) if flag)


def crew_notes() -> tuple[str, ...]:
    """The address of the glare rating and the choices behind what is told of people, in lines for the notes."""
    form, words = veil_form(GLARE_RATING_FORM), ", ".join(f"{value} {word}" for value, word in GLARE_RATING_WORDS)
    return (
        f"glare rating: {GLARE_RATING_SOURCE} ({GLARE_RATING_SOURCE.status}); veil {form.formula} from {form.span} "
        f"({form.range_source.status}); views every 15 deg, {RATING_DOWN_DEG:g} deg below the horizontal; surroundings "
        "by 3.5 % of their mean luminance, initial light",
        f"glare rating, lower is better: {words} (words from memory, unconfirmed)",
        "luminance of an opening: intensity towards the eye over its area as seen from there, a mean over the opening",
        "worst standing place: least mean illuminance over the four upright sides of the torso of a standing person; a "
        "choice of this program",
    )
