"""Lamps with intensities that a formula gives, for tests of the engine without a photometric file."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.engine import Lamps
from scenelux.geometry import Axes, aim_axes

Floats = NDArray[np.float64]

UP = (0.0, 0.0, 1.0)


@dataclass(frozen=True)
class AnalyticTable:
    azimuth_deg: Floats
    polar_deg: Floats
    candela: Floats


def rotational(polar_deg: ArrayLike, candela: ArrayLike) -> AnalyticTable:
    return AnalyticTable(np.array([0.0, 360.0]), np.asarray(polar_deg, float), np.array([candela, candela], float))


def isotropic(candela: float) -> AnalyticTable:
    return rotational([0.0, 180.0], [candela, candela])


def cosine_power(peak_cd: float, power: float, step_deg: float = 0.25) -> AnalyticTable:
    polar = np.linspace(0.0, 90.0, round(90.0 / step_deg) + 1)
    return rotational(polar, peak_cd * np.clip(np.cos(np.radians(polar)), 0.0, None) ** power)


def beam_axes(heading_deg: float, tilt_deg: float, roll_deg: float = 0.0) -> Axes:
    """Table axes of a lamp with the polar axis along the beam: x to the lamp's right, y up, z along the beam."""
    beam, left, up = aim_axes(heading_deg, tilt_deg, roll_deg)
    return ((-left[0], -left[1], -left[2]), up, beam)


def one_lamp(
    table: AnalyticTable,
    position_m: ArrayLike,
    axes: ArrayLike | None = None,
    *,
    opening_m: tuple[float, float] = (0.0, 0.0),
    is_round: bool = False,
) -> Lamps:
    """One lamp; its opening lies square to the table's z axis, length along x."""
    frame = np.eye(3) if axes is None else np.asarray(axes)
    return Lamps.from_tables(
        [table], table=[0], position_m=[position_m], axes=[frame],
        opening_m=[[*opening_m, 0.0]], opening_axes=[frame], opening_round=[is_round],
    )  # fmt: skip


def point_lamps(tables: list[AnalyticTable], positions_m: ArrayLike, axes: ArrayLike) -> Lamps:
    """One point lamp for each table."""
    return Lamps.from_tables(tables, table=np.arange(len(tables)), position_m=positions_m, axes=axes)
