"""Light that the eye scatters over its picture: from every lamp to every pixel, by a table against the angle."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.engine.arrays import MEMORY_LIMIT_BYTES, check_memory, vectors
from scenelux.engine.cache import compiled, merged, stage
from scenelux.engine.fast.angles import larger, smaller
from scenelux.engine.fast.gather import element, next_turn
from scenelux.engine.image.camera import Camera
from scenelux.engine.threads import together
from scenelux.errors import UsageError

__all__ = ["ScatterTable", "scattered"]

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]

# Places of the table are the leading bits of the squared chord between two unit vectors, 4 sin^2(angle / 2), in single
# precision: 64 steps to every doubling, so that steps are alike from the blur of the eye itself to behind the head.
STEP_BITS = 17
STEP = np.float32(2.0**-STEP_BITS)
MASK = (1 << STEP_BITS) - 1
LEAST, MOST = np.float32(2.0**-40), np.float32(4.0)
FIRST = int(LEAST.view(np.int32)) >> STEP_BITS
PLACES = (int(MOST.view(np.int32)) >> STEP_BITS) - FIRST + 2

LEAST_DEG = float(np.degrees(np.sqrt(LEAST)))
"""Smaller angles count as this one."""


@dataclass(frozen=True, eq=False)
class ScatterTable:
    """Luminance over the eye's picture per lux square to the way to the source, against the angle. Build by `of`.

    Parameters
    ----------
    per_lux : (places,) [1/sr], the cosine of the angle counted in.
    """

    per_lux: Singles

    @classmethod
    def of(cls, per_lux: Callable[[Floats], Floats], least_deg: float = LEAST_DEG) -> ScatterTable:
        """The table of a form of the veil.

        Parameters
        ----------
        per_lux : veiling luminance [1/sr] per lux on the plane square to the line of sight, against the angle [deg]
            up to 90, as vision gives it; the cosine is put to it here.
        least_deg : smaller angles count as this one [deg], such as half the width of a pixel.

        Values between places are within 2e-4 of the form; beyond 90 deg there is no veil.

        Example
        -------
        >>> table = ScatterTable.of(lambda angle_deg: 10.0 / angle_deg**2)
        >>> bool(np.isfinite(table.per_lux).all())
        True
        """
        bits = (np.arange(FIRST, FIRST + PLACES, dtype=np.int64) << STEP_BITS).astype(np.int32)
        square = bits.view(np.float32).astype(np.float64)
        angle = np.degrees(2.0 * np.arcsin(np.minimum(0.5 * np.sqrt(square), 1.0)))
        ahead = angle < 90.0
        values = np.zeros(PLACES)
        values[ahead] = per_lux(np.maximum(angle[ahead], least_deg)) * np.cos(np.radians(angle[ahead]))
        if not np.isfinite(values).all():
            worst = float(angle[~np.isfinite(values)].max())
            raise UsageError(f"has no finite value at {worst:.3g} deg", key="per_lux", accepted="state a least angle")
        return cls(values.astype(np.float32))


def scattered(
    camera: Camera,
    directions: ArrayLike,
    illuminance_lx: ArrayLike,
    table: ScatterTable,
    *,
    threads: int | None = None,
    memory_limit_bytes: int = MEMORY_LIMIT_BYTES,
) -> Singles:
    """Veiling luminance over a picture, for an eye that looks at each pixel in turn; the veils of all sources add.

    Parameters
    ----------
    camera : a pinhole at the eye.
    directions : (n, 3) from the eye to each source, site frame, of any length.
    illuminance_lx : (n,) at the eye, square to the way to each source; 0 for one that is hidden or off [lx].
    table : the form of the veil.
    threads : rows are shared out among so many threads; all processors unless stated. Results do not depend on it.
    memory_limit_bytes : LimitError is raised before more than this is allocated.

    Returns
    -------
    (height, width) float32 [cd/m2].

    Example
    -------
    >>> camera = Camera.pinhole((0, 0, 0), np.eye(3), 3, 1, field_deg=60)
    >>> table = ScatterTable.of(lambda angle_deg: 10.0 / angle_deg**2, least_deg=0.1)
    >>> round(float(scattered(camera, [[1, 1, 0]], [2.0], table)[0, 1]), 4)  # 10 x 2 lx x cos 45 deg / 45^2
    0.007
    """
    if camera.parallel:
        raise UsageError("of parallel rays has no eye", key="camera")
    ways = vectors(directions, "directions")
    light = np.ascontiguousarray(illuminance_lx, dtype=np.float32)
    if light.shape != (len(ways),) or not (np.isfinite(light).all() and (light >= 0.0).all()):
        raise UsageError(f"is not one number of at least 0 for each of {len(ways)} sources", key="illuminance_lx")
    height, width = camera.height_px, camera.width_px
    check_memory(4 * height * width, memory_limit_bytes, "scattered light")
    lit = light > 0.0
    towards = (ways[lit] / np.linalg.norm(ways[lit], axis=1)[:, None]).astype(np.float32)
    out, turns = np.zeros((height, width), np.float32), np.zeros(1, np.int64)
    right, down = camera.places()
    view = camera.view
    frame = np.stack((view.forward, view.right, view.down))
    together(
        lambda: _scatter_rows(frame, right, down, towards, light[lit], table.per_lux, turns, out, _room(width)),
        out.size * (1 + len(towards)), threads,
    )  # fmt: skip
    return out


def _room(width: int) -> Singles:
    return np.empty((3, width), np.float32)


@compiled
def _scatter_rows(
    frame: Floats, right: Floats, down: Floats, towards: Singles, light: Singles, per_lux: Singles,
    turns: NDArray[np.int64], out: Singles, room: Singles,
) -> None:  # fmt: skip
    """All sources on one row of pixels after another, those that nobody else has taken."""
    while True:
        row = next_turn(turns)
        if row >= len(down):
            return
        look_along(frame, right, down[row], room)
        for source in range(len(light)):
            spread(room, towards[source], light[source], per_lux, out[row])


@merged
def look_along(frame: Floats, right: Floats, down: float, room: Singles) -> None:
    """Unit vectors along which the pixels of a row look."""
    for j in range(len(right)):
        x = frame[0, 0] + right[j] * frame[1, 0] + down * frame[2, 0]
        y = frame[0, 1] + right[j] * frame[1, 1] + down * frame[2, 1]
        z = frame[0, 2] + right[j] * frame[1, 2] + down * frame[2, 2]
        length = sqrt(x * x + y * y + z * z)
        room[0, j], room[1, j], room[2, j] = x / length, y / length, z / length


@stage
def spread(room: Singles, towards: Singles, light: np.float32, per_lux: Singles, out: Singles) -> None:
    """One source on a row: its light times the table at the squared chord, between places along a straight line."""
    sx, sy, sz = towards[0], towards[1], towards[2]
    for j in range(len(out)):
        x, y, z = room[0, j] - sx, room[1, j] - sy, room[2, j] - sz
        square = np.float32(smaller(larger(x * x + y * y + z * z, LEAST), MOST))
        bits = square.view(np.int32)
        place = (bits >> STEP_BITS) - FIRST
        along = np.float32(bits & MASK) * STEP
        low = element(per_lux, place)
        out[j] += light * (low + (element(per_lux, place + 1) - low) * along)
