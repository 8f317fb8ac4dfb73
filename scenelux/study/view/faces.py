"""The faces of a target that an eye sees, by points spread over them: finer than any pixel, and as exact as lamps."""

from __future__ import annotations

from dataclasses import dataclass
from types import SimpleNamespace

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Lamps, illuminance, receivers
from scenelux.study.view.image import Setting
from scenelux.study.view.retro import Places, sent_back

__all__ = ["Faces", "faces_seen", "light_on"]

Array = NDArray[np.float64]

POINTS_ACROSS = 16
"""Points on a face, each way; the edge of a low beam may cross it."""


@dataclass(frozen=True, eq=False)
class Faces:
    """Points on the faces of a target that look at an eye.

    Parameters
    ----------
    places : points, normals and planes.
    weight : (n,) solid angle that each point stands for; 0 where something hides it [sr].
    """

    places: Places
    weight: Array

    @property
    def solid_angle_sr(self) -> float:
        """Of what is seen."""
        return float(self.weight.sum())

    def mean(self, values: Array) -> Array:
        """Mean over what is seen of values (..., n); nan where nothing is."""
        total = self.weight.sum()
        return np.asarray(values @ (self.weight / total)) if total > 0.0 else np.full(values.shape[:-1], np.nan)


def faces_seen(scene: Setting, eye_m: Array, surfaces: tuple[int, ...]) -> Faces:
    """The faces of boxes that an eye sees.

    Parameters
    ----------
    scene : as it stands before the eye.
    eye_m : (3,) the eye [m].
    surfaces : numbers of the boxes among the surfaces of a picture.

    What a point is worth is what a lamp of one candela at the eye would give it: that lamp sees what the eye sees.
    """
    parts = [part for surface in surfaces for part in _faces(scene, eye_m, surface - 1)]
    points, normals, areas = (np.concatenate(one) for one in zip(*(part[:3] for part in parts), strict=True))
    planes = np.repeat([part[3] for part in parts], POINTS_ACROSS**2).astype(np.int32)
    bare = SimpleNamespace(azimuth_deg=[0.0, 360.0], polar_deg=[0.0, 180.0], candela=[[1.0, 1.0], [1.0, 1.0]])
    eye = Lamps.from_tables([bare], table=[0], position_m=[eye_m], axes=[np.eye(3)])
    weight = areas * illuminance(eye, scene.blockers, points, normals)[0]
    return Faces((points, normals, planes), weight)


def light_on(scene: Setting, faces: Faces, eye_m: Array) -> tuple[Array, Array]:
    """Luminance of points towards the eye by each lamp at full output, and by a lux of natural light.

    Parameters
    ----------
    scene : as it stands before the eye.
    faces : the points.
    eye_m : (3,) the eye [m].

    Returns
    -------
    (L, n) [cd/m2] and (n,) [1/sr], after the air, without the light of the air itself.
    """
    points, normals, planes = faces.places
    lux = scene.store.by_lamp(scene.lamps, scene.blockers, receivers(points, normals))
    found, natural = np.nan_to_num(lux) * scene.materials.per_lux[planes], scene.materials.per_sky_lux[planes]
    if scene.haze is not None:
        from_lamp = np.linalg.norm(points - scene.lamps.position_m[:, None], axis=2)
        to_eye = np.linalg.norm(points - eye_m, axis=1)
        found *= scene.haze.transmitted(from_lamp + to_eye)
        natural = natural * scene.haze.transmitted(to_eye)
    if scene.own:
        own = scene.lamps.only(np.arange(len(scene.lamps) - scene.own, len(scene.lamps)))
        found[-scene.own :] += sent_back(faces.places, eye_m, scene.materials, own, scene.blockers, scene.haze)
    return found, natural


def _faces(scene: Setting, eye_m: Array, box: int) -> list[tuple[Array, Array, Array, int]]:
    """Points, normals, areas and plane of each side of a box that looks at the eye."""
    centre, half, axes = (getattr(scene.blockers, name)[box] for name in ("centre_m", "half_m", "axes"))
    step = (2.0 * np.arange(POINTS_ACROSS) + 1.0) / POINTS_ACROSS - 1.0
    found = []
    for side in range(6):
        axis, sign = side // 2, 1.0 - 2.0 * (side % 2)
        normal, middle = sign * axes[axis], centre + sign * half[axis] * axes[axis]
        if (eye_m - middle) @ normal > 0.0:
            first, second = (a for a in range(3) if a != axis)
            grid = np.stack(np.meshgrid(step, step, indexing="ij"), axis=-1).reshape(-1, 2)
            points = middle + grid[:, :1] * half[first] * axes[first] + grid[:, 1:] * half[second] * axes[second]
            area = 4.0 * half[first] * half[second] / len(grid)
            found.append((points, np.tile(normal, (len(grid), 1)), np.full(len(grid), area), 6 * box + 1 + side))
    return found
