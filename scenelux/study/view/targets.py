"""A person or an object as a target: its luminance, that of what is around it, its size, and how visible that is.

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
from scenelux.study.view.image import Setting, by_lamp
from scenelux.study.view.lamps import lamps_seen, through
from scenelux.study.view.surfaces import SKY_PER_LUX
from scenelux.vision import picture_veil_per_lux, visibility

__all__ = ["TargetLight", "TargetPart", "TargetSeen", "target_light", "target_surfaces"]

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

PIXELS = 96
"""Of the longer side of the small picture in which a target is measured."""

RING = 0.5
"""Width of what counts as its background, as a share of its least dimension."""

LEAST_PART = 0.1
"""A part counts by itself when it fills so much of what is seen of a target."""

ARCMIN = 60.0 * 180.0 / np.pi


@dataclass(frozen=True)
class TargetSeen:
    """A target in one duty state at one light level for one eye; nan where it is hidden.

    Parameters
    ----------
    target_cd_m2, background_cd_m2 : mean luminances of the target and of a ring around its outline, after the air.
    veil_cd_m2 : in an eye that looks at its middle.
    size_arcmin : least dimension of what is seen of it.
    level : signed visibility level; negative where it is darker than its background.
    threshold_cd_m2 : the difference that is just seen.
    """

    target_cd_m2: float
    background_cd_m2: float
    veil_cd_m2: float
    size_arcmin: float
    level: float
    threshold_cd_m2: float


@dataclass(frozen=True, eq=False)
class TargetPart:
    """A part of a target that is seen, such as the torso of a person, as the whole in `TargetLight`."""

    name: str
    target_cd_m2: Array
    target_per_sky_lux: float
    size_arcmin: float


@dataclass(frozen=True, eq=False)
class TargetLight:
    """A target before an eye, by lamp at full output and by a lux of natural light. Build by `target_light`.

    Parameters
    ----------
    target_cd_m2, background_cd_m2 : (L,) mean luminance [cd/m2]; nan where it is hidden.
    target_per_sky_lux, background_per_sky_lux : the same by natural light [1/sr].
    size_arcmin : least dimension of what is seen of it.
    eye_lx : (L,) illuminance at the eye on the plane square to the line of sight to its middle [lx].
    angle_deg : (L,) between that line of sight and each lamp.
    distance_m : from the eye to its middle.
    parts : those that fill a good share of what is seen of it. Where parts are brighter and darker than the background,
        the whole may be as bright as that, and a part tells that it is seen all the same.
    """

    target_cd_m2: Array
    background_cd_m2: Array
    target_per_sky_lux: float
    background_per_sky_lux: float
    size_arcmin: float
    eye_lx: Array
    angle_deg: Array
    distance_m: float
    parts: tuple[TargetPart, ...] = ()

    def seen(
        self,
        levels: ArrayLike,
        ambient_lx: float,
        *,
        age_years: float,
        pigmentation: float = 0.5,
        exposure_s: float = 0.2,
    ) -> TargetSeen:
        """The target in one duty state at one light level for one eye.

        Parameters
        ----------
        levels : (L,) of all lamps, the own headlamps last.
        ambient_lx : natural light on level ground [lx].
        age_years, pigmentation : of the eye.
        exposure_s : for which it is seen [s].
        """
        shares = np.asarray(levels, np.float64)
        whole = TargetPart("", self.target_cd_m2, self.target_per_sky_lux, self.size_arcmin)
        return self._seen(whole, shares, ambient_lx, age_years, pigmentation, exposure_s)

    def parts_seen(
        self,
        levels: ArrayLike,
        ambient_lx: float,
        *,
        age_years: float,
        pigmentation: float = 0.5,
        exposure_s: float = 0.2,
    ) -> dict[str, TargetSeen]:
        """Each part by itself before the background of the whole, by its name.

        Parameters
        ----------
        levels, ambient_lx, age_years, pigmentation, exposure_s : as in `seen`.
        """
        shares = np.asarray(levels, np.float64)
        return {
            part.name: self._seen(part, shares, ambient_lx, age_years, pigmentation, exposure_s) for part in self.parts
        }

    def _seen(
        self, part: TargetPart, shares: Array, ambient_lx: float, age: float, pigmentation: float, exposure_s: float
    ) -> TargetSeen:
        target = float(shares @ part.target_cd_m2) + ambient_lx * part.target_per_sky_lux
        background = float(shares @ self.background_cd_m2) + ambient_lx * self.background_per_sky_lux
        veil = self.veil_cd_m2(shares, age_years=age, pigmentation=pigmentation)
        found = visibility(target, background, part.size_arcmin, age_years=age, exposure_s=exposure_s, veil_cd_m2=veil)
        return TargetSeen(target, background, veil, part.size_arcmin, float(found.level), float(found.threshold_cd_m2))

    def veil_cd_m2(self, levels: ArrayLike, *, age_years: float, pigmentation: float = 0.5) -> float:
        """Veil of all lamps in an eye that looks at the middle of the target [cd/m2].

        Parameters
        ----------
        levels, age_years, pigmentation : as in `seen`.
        """
        lit = (self.eye_lx > 0.0) & (np.asarray(levels) > 0.0)
        per_lux = picture_veil_per_lux(self.angle_deg[lit], age_years=age_years, pigmentation=pigmentation)
        return float((np.asarray(levels, np.float64)[lit] * self.eye_lx[lit] * per_lux).sum())


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
    placed: PlacedScene, scene: Setting, eye_m: ArrayLike, target_id: str, *, threads: int | None = None
) -> TargetLight:
    """Looks at a person or an object with a small picture of its own.

    Parameters
    ----------
    placed, scene : the scene on its site, and as it stands before the eye.
    eye_m : (3,), site frame [m].
    target_id : of the person or the object.
    threads : all processors unless stated. Results do not depend on it.

    Its luminance is the mean over what is seen of it; its background is a ring half as wide as its least dimension.
    Lamps that are seen in the ring count in the veil, not in the background.
    """
    eye = np.asarray(eye_m, np.float64)
    surfaces = target_surfaces(placed, target_id)
    faces = faces_seen(scene, eye, surfaces)
    lit, under_sky = light_on(scene, faces, eye)
    camera, extent, distance = _camera(scene, eye, surfaces)
    apart = by_lamp(scene, camera, threads=threads)
    mask = np.isin(apart.hits.surface, surfaces)
    least = min(_extent_px(mask), extent)
    ring = _grown(mask, max(1, round(RING * least))) & ~mask
    toward = through(lamps_seen(scene.lamps, scene.blockers, eye, np.ones(len(scene.lamps))), scene.haze)
    cosine = np.clip(toward.direction @ camera.axes[0], -1.0, 1.0)
    of_the_air = 0.0 if apart.air_cd_m2 is None else _means(apart.air_cd_m2, mask)
    return TargetLight(
        target_cd_m2=faces.mean(lit) + of_the_air,
        background_cd_m2=_means(apart.luminance_cd_m2, ring),
        target_per_sky_lux=_natural(scene, float(faces.mean(under_sky)), distance),
        background_per_sky_lux=float(_means(apart.per_sky_lux[None], ring)[0]),
        size_arcmin=least * camera.step * ARCMIN if mask.any() and faces.solid_angle_sr > 0.0 else np.nan,
        eye_lx=toward.illuminance_lx * np.maximum(cosine, 0.0),
        angle_deg=np.degrees(np.arccos(cosine)),
        distance_m=distance,
        parts=_parts(placed, scene, eye, faces, (lit + _column(of_the_air, lit), under_sky), distance),
    )


def _column(of_the_air: Array | float, lit: Array) -> Array:
    return np.broadcast_to(np.reshape(of_the_air, (-1, 1)), lit.shape)


def _parts(
    placed: PlacedScene, scene: Setting, eye: Array, faces: Faces, light: tuple[Array, Array], distance_m: float
) -> tuple[TargetPart, ...]:
    """Parts that fill a good share of what is seen of the target; boxes of one name count together."""
    boxes = (faces.places[2] - 1) // 6
    names = {int(box): placed.boxes[box].part.split()[-1] for box in np.unique(boxes)}
    found = []
    for name in dict.fromkeys(names.values()):
        own = [box for box, known in names.items() if known == name]
        some = replace(faces, weight=np.where(np.isin(boxes, own), faces.weight, 0.0))
        if some.solid_angle_sr > LEAST_PART * faces.solid_angle_sr:
            camera, extent, _ = _camera(scene, eye, tuple(1 + box for box in own))
            lit, under_sky = (some.mean(one) for one in light)
            natural = _natural(scene, float(under_sky), distance_m)
            said = f"{name}s" if len(own) > 1 else name
            found.append(TargetPart(said, lit, natural, extent * camera.step * ARCMIN))
    return tuple(found)


def _natural(scene: Setting, per_sky_lux: float, distance_m: float) -> float:
    """What is left of daylight on a target after the air, and what the air puts before it."""
    if scene.haze is None:
        return per_sky_lux
    reach = float(scene.haze.transmitted(distance_m))
    return reach * per_sky_lux + (1.0 - reach) * SKY_PER_LUX


def _camera(scene: Setting, eye: Array, surfaces: tuple[int, ...]) -> tuple[Camera, float, float]:
    """A picture just large enough for a target and a ring, its least extent in pixels, and how far its middle is."""
    corners = _corners(scene, surfaces)
    middle = 0.5 * (corners.min(axis=0) + corners.max(axis=0))
    axes = Camera.towards(eye, middle, 1, 1, field_deg=1.0).axes
    depth, left, up = axes @ (corners - eye).T
    if depth.min() < 0.1:
        raise UsageError("is where the eye is, or behind it", key="target", accepted="look from farther away")
    spans = [np.ptp(part / depth) for part in (left, up)]
    reach = [2.0 * np.abs(part / depth).max() + 2.0 * RING * min(spans) for part in (left, up)]
    step = max(reach) / (PIXELS - 4)
    width, height = (2 * int(np.ceil(0.5 * size / step)) + 4 for size in reach)
    field_deg = float(np.degrees(2.0 * np.arctan(0.5 * width * step)))
    camera = Camera.pinhole(eye, axes, width, height, field_deg=field_deg)
    return camera, min(spans) / step, float(np.linalg.norm(middle - eye))


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


def _extent_px(mask: Flags) -> float:
    """The smaller of height and width of what is seen."""
    rows, columns = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))
    return float(min(rows[-1] - rows[0], columns[-1] - columns[0])) + 1.0 if len(rows) else 0.0


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
