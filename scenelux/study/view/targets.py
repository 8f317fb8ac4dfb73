"""A person or an object as a target: its luminance, that of what is around it, and its size, whole and by parts.

Light is linear in the level of every lamp, so a target is looked at once and every state, light level and age follows
from weighted sums.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.engine import Camera
from scenelux.errors import UsageError
from scenelux.placement import PlacedScene
from scenelux.study.view.faces import Faces, faces_seen, light_on
from scenelux.study.view.image import ByLamp, Setting, by_lamp
from scenelux.study.view.lamps import lamps_seen, through
from scenelux.study.view.visible import WHOLE, TargetLight

__all__ = ["target_light", "target_surfaces"]

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

PIXELS = 96
"""Of the longer side of the small picture in which a target is measured."""

RING = 0.5
"""Width of what counts as its background, as a share of its least dimension."""

ARCMIN = 60.0 * 180.0 / np.pi


def target_surfaces(placed: PlacedScene, target_id: str) -> tuple[int, ...]:
    """Numbers of the surfaces in a picture that a person or an object consists of.

    Parameters
    ----------
    placed : the scene on its site.
    target_id : of the person or the object.
    """
    found = tuple(
        1 + number for number, box in enumerate(placed.boxes) if box.owner != "vehicle" and box.owner_id == target_id
    )
    if not found:
        known = [one.id for one in (*placed.scene.people, *placed.scene.objects)]
        raise UsageError(
            "is no person or object of this scene", value=target_id, accepted=f"known: {', '.join(known) or 'none'}"
        )
    return found


def target_light(
    placed: PlacedScene,
    scene: Setting,
    eye_m: ArrayLike,
    target_id: str,
    *,
    along_m: float = 0.0,
    threads: int | None = None,
) -> TargetLight:
    """Looks at a person or an object with a small picture of its own.

    Parameters
    ----------
    placed, scene : the scene on its site, and as it stands before the eye.
    eye_m : (3,), site frame [m].
    target_id : of the person or the object.
    along_m : from the eye along the road that is driven, whose rises may hide the target from the eye or from the own
        headlamps [m].
    threads : all processors unless stated. Results do not depend on it.

    The whole and each part by itself: luminance is the mean over what is seen of it, the background a ring around it,
    half as wide as its least dimension, without what belongs to the target. Lamps that are seen in the ring count in
    the veil, not in the background. The light of the air as far as the target reaches lies over it and over what is
    beside it: it counts in the adaptation, its gradient from one to the other is kept apart.
    """
    eye = np.asarray(eye_m, np.float64)
    surfaces = target_surfaces(placed, target_id)
    framed = _framed(scene, eye, surfaces)
    if _over_rises(scene, eye, framed.middle_m, along_m):
        return TargetLight.hidden(len(scene.lamps))
    faces = faces_seen(scene, eye, surfaces)
    lit, under_sky = light_on(scene, faces, eye)
    apart = by_lamp(scene, framed.camera, without=surfaces, threads=threads)
    look = _Look(scene, eye, framed, apart, surfaces, faces, lit, under_sky)
    parts = _parts(placed, surfaces, faces)
    measured = [look.at(surfaces), *(look.at(own) for own in parts.values())]
    toward = through(lamps_seen(scene.lamps, scene.blockers, eye, np.ones(len(scene.lamps))), scene.haze)
    cosine = np.clip(toward.direction @ framed.camera.axes[0], -1.0, 1.0)
    arrives = _arrives(scene, framed.middle_m, along_m)
    taken = 0.0 if scene.haze is None else scene.haze.extinction_per_m
    target, background, glow, target_sky, background_sky, glow_sky, size = (
        np.array(one) for one in zip(*measured, strict=True)
    )
    return TargetLight(
        parts=(WHOLE, *parts),
        target_cd_m2=target * arrives,
        background_cd_m2=background * arrives,
        glow_cd_m2=glow * arrives,
        target_per_sky_lux=target_sky,
        background_per_sky_lux=background_sky,
        glow_per_sky_lux=glow_sky,
        size_arcmin=size,
        eye_lx=toward.illuminance_lx * np.maximum(cosine, 0.0),
        angle_deg=np.degrees(np.arccos(cosine)),
        optical_depth=np.array(taken * np.linalg.norm(framed.middle_m - eye)),
    )


@dataclass(frozen=True, eq=False)
class _Framed:
    """A picture just large enough for a target and a ring around it, and where the middle of the target is."""

    camera: Camera
    middle_m: Array


@dataclass(frozen=True, eq=False)
class _Look:
    """What an eye sees of a target and around it, by lamp."""

    scene: Setting
    eye_m: Array
    framed: _Framed
    apart: ByLamp
    surfaces: tuple[int, ...]
    faces: Faces
    lit: Array
    under_sky: Array

    def at(self, own: tuple[int, ...]) -> tuple[Array, Array, Array, float, float, float, float]:
        """Of some surfaces: luminance, background and gradient of glow, by lamp and by the sky; least dimension."""
        seen = self.apart.hits.surface
        mask = np.isin(seen, own)
        weight = np.where(np.isin((self.faces.places[2] - 1) // 6 + 1, own), self.faces.weight, 0.0)
        faces = replace(self.faces, weight=weight)
        least = self._least_px(own, mask, faces.solid_angle_sr)
        ring = _grown(mask, max(1, round(RING * least))) & ~np.isin(seen, self.surfaces)
        apart, sky = self.apart, float(faces.mean(self.under_sky))
        before, beside = (_air(apart.air_cd_m2, len(self.lit), where) for where in (mask, ring))
        sky_before, sky_beside = (float(_air(apart.air_per_sky_lux, 1, where)[0]) for where in (mask, ring))
        return (
            faces.mean(self.lit) + before,
            _means(apart.luminance_cd_m2, ring) + beside,
            beside - before,
            sky + sky_before,
            float(_means(apart.per_sky_lux[None], ring)[0]) + sky_beside,
            sky_beside - sky_before,
            least * self.framed.camera.step * ARCMIN if mask.any() and faces.solid_angle_sr > 0.0 else np.nan,
        )

    def _least_px(self, own: tuple[int, ...], mask: Flags, solid_angle_sr: float) -> float:
        """The smaller of height and width of what is seen; a part is no wider than its area, since legs stand apart."""
        camera = self.framed.camera
        exact = [span / camera.step for span in _spans(camera.axes, self.eye_m, _corners(self.scene, own))]
        least, longest = sorted(min(px, size) for px, size in zip(_extents_px(mask), exact, strict=True))
        if own == self.surfaces or longest == 0.0:
            return least
        return min(least, solid_angle_sr / camera.step**2 / longest)


def _parts(placed: PlacedScene, surfaces: tuple[int, ...], faces: Faces) -> dict[str, tuple[int, ...]]:
    """Surfaces of each part that is seen, legs and the like together; none where the target is of one part."""
    said = {surface: placed.boxes[surface - 1].part for surface in surfaces}
    kinds = [part.split()[-1] for part in said.values()]
    named = {
        surface: f"{kind}s" if kinds.count(kind) > 1 else said[surface]
        for surface, kind in zip(surfaces, kinds, strict=True)
    }
    seen = set(((faces.places[2][faces.weight > 0.0] - 1) // 6 + 1).tolist())
    found: dict[str, tuple[int, ...]] = {}
    for surface, name in named.items():
        if surface in seen:
            found[name] = (*found.get(name, ()), surface)
    return found if len(set(named.values())) > 1 else {}


def _over_rises(scene: Setting, from_m: Array, middle_m: Array, along_m: float) -> bool:
    """Whether a rise of the road is in the way."""
    if scene.road is None or not scene.road.profile_m:
        return False
    at = (float(middle_m[0]), float(middle_m[1]), float(middle_m[2]))
    return bool(scene.road.hides(from_m[None], np.array([along_m]), at)[0])


def _arrives(scene: Setting, middle_m: Array, along_m: float) -> Array:
    """Whether the light of each lamp gets past the rises of the road: the own headlamps are lower than the eye."""
    found = np.ones(len(scene.lamps))
    for lamp in range(len(scene.lamps) - scene.own, len(scene.lamps)):
        found[lamp] = not _over_rises(scene, scene.lamps.position_m[lamp], middle_m, along_m)
    return found


def _framed(scene: Setting, eye: Array, surfaces: tuple[int, ...]) -> _Framed:
    corners = _corners(scene, surfaces)
    middle = 0.5 * (corners.min(axis=0) + corners.max(axis=0))
    axes = Camera.towards(eye, middle, 1, 1, field_deg=1.0).axes
    depth, left, up = axes @ (corners - eye).T
    if depth.min() < 0.1:
        raise UsageError("is where the eye is, or behind it", key="target", accepted="look from farther away")
    margin = 2.0 * RING * min(_spans(axes, eye, corners))
    reach = [2.0 * np.abs(part / depth).max() + margin for part in (left, up)]
    step = max(reach) / (PIXELS - 4)
    width, height = (2 * int(np.ceil(0.5 * size / step)) + 4 for size in reach)
    field_deg = float(np.degrees(2.0 * np.arctan(0.5 * width * step)))
    return _Framed(Camera.pinhole(eye, axes, width, height, field_deg=field_deg), middle)


def _spans(axes: Array, eye: Array, corners: Array) -> tuple[float, float]:
    """Width and height of points before an eye, as tangents."""
    depth, left, up = axes @ (corners - eye).T
    return float(np.ptp(left / depth)), float(np.ptp(up / depth))


def _corners(scene: Setting, surfaces: tuple[int, ...]) -> Array:
    at = np.array(surfaces) - 1
    signs = np.array([(x, y, z) for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)], np.float64)
    half, axes = scene.blockers.half_m[at], scene.blockers.axes[at]
    found: Array = (scene.blockers.centre_m[at, None] + (signs * half[:, None]) @ axes).reshape(-1, 3)
    return found


def _means(pictures: NDArray[np.float32], where: Flags) -> Array:
    if not where.any():
        return np.full(len(pictures), np.nan)
    return np.asarray(pictures[:, where].mean(axis=1, dtype=np.float64))


def _air(pictures: NDArray[np.float32] | None, many: int, where: Flags) -> Array:
    return np.zeros(many) if pictures is None else _means(pictures, where)


def _extents_px(mask: Flags) -> tuple[float, float]:
    """Width and height of what is seen."""
    rows, columns = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))
    return (float(np.ptp(columns)) + 1.0, float(np.ptp(rows)) + 1.0) if len(rows) else (0.0, 0.0)


def _grown(mask: Flags, pixels: int) -> Flags:
    """The mask and all within so many pixels, by squares."""
    for axis in (0, 1):
        wide = mask.copy()
        for step in range(1, pixels + 1):
            forth, back = [slice(None)] * 2, [slice(None)] * 2
            forth[axis], back[axis] = slice(step, None), slice(None, -step)
            wide[tuple(forth)] |= mask[tuple(back)]
            wide[tuple(back)] |= mask[tuple(forth)]
        mask = wide
    return mask
