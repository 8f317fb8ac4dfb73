"""How visible a target is: as visible as the whole of it or as the part that stands out most.

A bright torso over dark legs may be as bright in the mean as what is behind, and is seen all the same. So every larger
part counts by itself: its own mean, its own least dimension, and what is beside it. Beside it, that is the ring around
the part without the target itself: the neighbouring part of the same target is no background, since a part that equals
what is beside it is told apart from its neighbour only where the neighbour stands out, and that counts by itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.scene.model import SceneDocument
from scenelux.study.view.limits import MOST_DEPTH
from scenelux.vision import CONTINUED_TO_DEG, picture_veil_per_lux, visibility

__all__ = ["EXPOSURE_S", "WHOLE", "TargetLight", "TargetSeen", "stacked", "visibility_notes"]

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

WHOLE = "whole"

EXPOSURE_S = 0.2
"""For which a target is seen, as of the small target of road lighting [s]."""

LEAST_PART_ARCMIN = 1.0
"""Parts smaller than this are told apart from nothing: they do not count by themselves."""

OF_EYE = ("eye_lx", "angle_deg", "optical_depth")
"""What is known of a target without its parts."""


@dataclass(frozen=True, eq=False)
class TargetSeen:
    """A target in one duty state at one light level for one eye, the whole first; nan where it is hidden.

    Parameters
    ----------
    parts : names, the whole first.
    target_cd_m2, background_cd_m2 : (parts, ...) mean luminances of each and of a ring around it, after the air.
    difference_cd_m2 : (parts, ...) between them, without that in the light of the air as far as the target.
    size_arcmin : (parts, ...) least dimension of what is seen of each.
    levels : (parts, ...) signed visibility levels; negative where it is darker than its background; nan of a
        part that is too small to count, and of all where there is too much air before it.
    thresholds_cd_m2 : (parts, ...) the difference that is just seen.
    veil_cd_m2 : (...) in an eye that looks at the middle of the whole.
    """

    parts: tuple[str, ...]
    target_cd_m2: Array
    background_cd_m2: Array
    difference_cd_m2: Array
    size_arcmin: Array
    levels: Array
    thresholds_cd_m2: Array
    veil_cd_m2: Array

    @property
    def best(self) -> Indices:
        """(...) number of the one that stands out most; the whole where several do."""
        return np.asarray(np.argmax(np.nan_to_num(np.abs(self.levels), nan=-1.0), axis=0))

    @property
    def level(self) -> Array:
        """(...) signed level of the one that stands out most: that of the target."""
        return np.asarray(np.take_along_axis(self.levels, self.best[None], axis=0)[0])

    @property
    def seen_by(self) -> tuple[str, ...]:
        """(stations,) its name; empty where there is no level."""
        levels = np.atleast_1d(self.level)
        return tuple(
            "" if np.isnan(level) else self.parts[at]
            for at, level in zip(np.atleast_1d(self.best).tolist(), levels, strict=True)
        )


@dataclass(frozen=True, eq=False)
class TargetLight:
    """A target before an eye, by lamp at full output and by a lux of natural light; with or without stations.

    Parameters
    ----------
    parts : names, the whole first.
    target_cd_m2, background_cd_m2 : (parts, ..., lamps) mean luminance [cd/m2]; nan where it is hidden.
    glow_cd_m2 : (parts, ..., lamps) by how much the air as far as the target gives more beside it than before it
        [cd/m2]; that air lies over both, so this is no difference between them.
    target_per_sky_lux, background_per_sky_lux, glow_per_sky_lux : (parts, ...) the same by natural light [1/sr].
    size_arcmin : (parts, ...) least dimension of what is seen.
    eye_lx : (..., lamps) illuminance at the eye on the plane square to the line of sight to its middle [lx].
    angle_deg : (..., lamps) between that line of sight and each lamp.
    optical_depth : (...) of the air before its middle; 0 in clear air, nan where it is hidden.
    """

    parts: tuple[str, ...]
    target_cd_m2: Array
    background_cd_m2: Array
    glow_cd_m2: Array
    target_per_sky_lux: Array
    background_per_sky_lux: Array
    glow_per_sky_lux: Array
    size_arcmin: Array
    eye_lx: Array
    angle_deg: Array
    optical_depth: Array

    @classmethod
    def hidden(cls, lamps: int) -> TargetLight:
        """Of a target of which nothing is seen.

        Parameters
        ----------
        lamps : how many there are.
        """
        none, nothing = np.full((1, lamps), np.nan), np.full(1, np.nan)
        parts = (none, none, none, nothing, nothing, nothing, nothing)
        return cls((WHOLE,), *parts, np.zeros(lamps), none[0], nothing[0])

    def seen(
        self,
        levels: ArrayLike,
        ambient_lx: float,
        *,
        age_years: float,
        pigmentation: float = 0.5,
        exposure_s: float = EXPOSURE_S,
    ) -> TargetSeen:
        """The target in one duty state at one light level for one eye.

        Parameters
        ----------
        levels : (lamps,) of all lamps, the own headlamps last.
        ambient_lx : natural light on level ground [lx].
        age_years, pigmentation : of the eye.
        exposure_s : for which it is seen [s].
        """
        shares = np.asarray(levels, np.float64)
        target = self.target_cd_m2 @ shares + ambient_lx * self.target_per_sky_lux
        background = self.background_cd_m2 @ shares + ambient_lx * self.background_per_sky_lux
        veil = self.veil_cd_m2(shares, age_years=age_years, pigmentation=pigmentation)
        glow = self.glow_cd_m2 @ shares + ambient_lx * self.glow_per_sky_lux
        even = target + glow  # as if the air before it were as bright as beside it: it stays in the adaptation
        found = visibility(
            even, background, self.size_arcmin, age_years=age_years, exposure_s=exposure_s, veil_cd_m2=veil
        )
        small = self.size_arcmin < LEAST_PART_ARCMIN
        small[0] = False
        levels = np.where(small | (self.optical_depth > MOST_DEPTH), np.nan, found.level)
        seen = (target, background, even - background, self.size_arcmin, levels, found.threshold_cd_m2, veil)
        return TargetSeen(self.parts, *seen)

    def veil_cd_m2(self, levels: ArrayLike, *, age_years: float, pigmentation: float = 0.5) -> Array:
        """Veil of all lamps in an eye that looks at the middle of the target, (...) [cd/m2].

        Parameters
        ----------
        levels, age_years, pigmentation : as in `seen`.
        """
        lux = self.eye_lx * np.asarray(levels, np.float64)
        per_lux = picture_veil_per_lux(self.angle_deg, age_years=age_years, pigmentation=pigmentation)
        return np.asarray(np.where(lux > 0.0, lux * per_lux, 0.0).sum(axis=-1))


def stacked(lights: Sequence[TargetLight]) -> TargetLight:
    """A target at several stations as one, with every part that is seen at any of them.

    Parameters
    ----------
    lights : of one target and the same lamps, each without stations.
    """
    parts = tuple(dict.fromkeys(part for light in lights for part in light.parts))

    def joined(name: str) -> Array:
        rows = [dict(zip(light.parts, getattr(light, name), strict=True)) for light in lights]
        none = np.full_like(getattr(lights[0], name)[0], np.nan)
        return np.array([[row.get(part, none) for row in rows] for part in parts])

    each = [one.name for one in fields(TargetLight) if one.name not in ("parts", *OF_EYE)]
    of_eye = (np.array([getattr(light, name) for light in lights]) for name in OF_EYE)
    return TargetLight(parts, *(joined(name) for name in each), *of_eye)


def visibility_notes(scene: SceneDocument) -> tuple[str, ...]:
    """What a visibility level is of, in lines for notes.

    Parameters
    ----------
    scene : for what people wear, and for objects.
    """
    parts = (
        "a person or an object is as visible as the whole or the part that stands out most (torso, legs, head), each "
        "before what is beside it; parts below 1 arcmin do not count"
    )
    stripes = (
        "vests and sheeting are drawn and count as the mean of their materials, without bands; fluorescent cloth "
        "scatters as in daylight whatever lights it"
    )
    tables = (
        "near the vehicle the eye is farther off the own headlamps than the tables of sheeting and tape reach (0.2 to "
        f"1.5 deg): there they go on by the slope of their last two rows, up to {CONTINUED_TO_DEG:g} deg, unconfirmed"
    )
    striped = bool(scene.objects) or any(one.vest != "none" for one in scene.people)
    return (parts, stripes, tables) if striped else (parts,)
