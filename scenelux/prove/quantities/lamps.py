"""Lamps for the quantities: stated in a few figures or read from a file, hung as those of a scene are."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Literal

import numpy as np

from scenelux.engine import Blockers, Lamps, Plane, illuminance
from scenelux.errors import UsageError
from scenelux.geometry import Vector, aim_axes
from scenelux.names import LARGEST_PHOTOMETRIC_BYTES
from scenelux.photometry import (
    FORMS,
    Beam,
    IntensityDistribution,
    Opening,
    default_orientation,
    read_photometric,
    sample,
)
from scenelux.placement import bare_luminaire
from scenelux.placement.lamps import PlacedLamp, engine_lamps
from scenelux.prove.signature import Numbers, Rows
from scenelux.scene.document import read_limited

__all__ = ["Lamp", "Shining", "cosine_lamp", "hung", "lux"]

_STEP_DEG = 0.1  # of tables that follow a formula
_WIDTHS = {
    "cosine-power": ("beam_angle_deg",),
    "elliptical-gaussian": ("across_deg", "up_deg"),
    "flat-top": ("across_deg", "up_deg", "edge_deg"),
}


@dataclass(frozen=True, eq=False)
class Shining:
    """The intensities and the opening of a lamp."""

    distribution: IntensityDistribution
    opening: Opening = Opening()  # noqa: RUF009 - frozen


@dataclass(frozen=True, kw_only=True)
class Lamp:
    """A lamp in one of six ways: even, in lumens or candela; a beam by its lumens or its peak; a file; a table."""

    intensity_cd: Annotated[float | None, "the same in all directions, 0 or more"] = None
    flux_lm: Annotated[float | None, "above 0: even in all directions, or of the beam whose widths follow"] = None
    form: Annotated[Literal["cosine-power", "elliptical-gaussian", "flat-top"], "of the beam"] = "cosine-power"
    beam_angle_deg: Annotated[float | None, "of a cosine-power beam: full width at half of the peak, 1 to 150"] = None
    across_deg: Annotated[float | None, "of the other forms, likewise: 1 to 90, flat-top to 160"] = None
    up_deg: Annotated[float | None, "of the other forms, likewise: 1 to 90, flat-top to 160"] = None
    edge_deg: Annotated[float | None, "soft edge of a flat-top beam, 0.5 to its smaller width"] = None
    cutoff_above_deg: Annotated[float | None, "no light at or above this vertical angle, -60 to below 90"] = None
    peak_cd: Annotated[float | None, "with exponent: I0 cos^n itself, not sampled as a card's beam is; 0 or more"] = (
        None
    )
    exponent: Annotated[float | None, "with peak_cd, 0 or more; 1 is a diffuse lamp"] = None
    file: Annotated[Path | None, "photometric file, by its path from the file of the case"] = None
    table_type: Annotated[Literal["A", "B", "C"], "photometric type of a table of intensities"] = "C"
    table_horizontal_deg: Annotated[Numbers, "its rising angles; type C from 0 to 360"] = (0.0, 360.0)
    table_vertical_deg: Annotated[Numbers | None, "its rising angles"] = None
    table_cd: Annotated[Rows | None, "a list for each horizontal angle, in it one intensity for each vertical"] = None

    def shining(self) -> Shining | None:
        """Its intensities; none where a figure is outside its range."""
        if self.file is not None:
            data = read_limited(self.file, str(self.file), LARGEST_PHOTOMETRIC_BYTES, "a photometric file")
            found = read_photometric(data, str(self.file))
            return Shining(found.distribution, found.opening)
        if self.table_cd is not None:
            return Shining(self._table(self.table_cd))
        if self.intensity_cd is not None:
            return _even(self.intensity_cd)
        if self.peak_cd is not None and self.exponent is not None:
            known = self.peak_cd >= 0.0 and self.exponent >= 0.0
            return Shining(cosine_lamp(self.peak_cd, self.exponent)) if known else None
        if self.flux_lm is not None:
            return self._stated(self.flux_lm)
        accepted = "give intensity_cd, flux_lm, peak_cd and exponent, file or table_cd"
        raise UsageError("needs a lamp", accepted=accepted)

    def _table(self, rows: Rows) -> IntensityDistribution:
        horizontal, vertical = self.table_horizontal_deg, self.table_vertical_deg
        if vertical is None:
            raise UsageError("is missing", key="table_vertical_deg", accepted="give the angles of the intensities")
        if len(rows) == 1:
            rows *= len(horizontal)
        if len(rows) != len(horizontal) or any(len(row) != len(vertical) for row in rows):
            accepted = f"give {len(horizontal)} lists of {len(vertical)}, or one list for a round lamp"
            raise UsageError("does not fit its angles", key="table_cd", accepted=accepted)
        try:
            return IntensityDistribution(self.table_type, np.array(horizontal), np.array(vertical), np.array(rows))
        except UsageError as error:
            key = "table_cd" if error.key == "candela" else f"table_{error.key}"
            raise UsageError(error.problem, key=key, accepted=error.accepted) from None

    def _stated(self, flux_lm: float) -> Shining | None:
        widths = {name: getattr(self, name) for name in _WIDTHS[self.form]}
        if self.form == "cosine-power" and self.beam_angle_deg is None:
            return _even(flux_lm / (4.0 * math.pi))
        for name, width in widths.items():
            if width is None:
                raise UsageError("is missing", key=name, accepted=f"a beam of the form {self.form} needs it [deg]")
        beam = _beam(self.form, flux_lm, {**widths, "cutoff_above_deg": self.cutoff_above_deg})
        return None if beam is None else Shining(sample(beam))


def _beam(form: str, flux_lm: float, figures: dict[str, float | None]) -> Beam | None:
    try:
        return FORMS[form](flux_lm, **figures)  # type: ignore[arg-type]
    except UsageError:  # outside the range of the beam
        return None


def _even(candela: float) -> Shining | None:
    """The same intensity in every direction."""
    if not candela >= 0.0:
        return None
    return Shining(IntensityDistribution("C", np.array((0.0, 360.0)), np.array((0.0, 180.0)), np.full((2, 2), candela)))


def cosine_lamp(peak_cd: float, exponent: float) -> IntensityDistribution:
    """I0 cos^n, the formula itself in fine steps: unlike a sampled beam it is as near to the formula as a number is."""
    polar = np.linspace(0.0, 90.0, round(90.0 / _STEP_DEG) + 1)
    row = peak_cd * np.maximum(np.cos(np.radians(polar)), 0.0) ** exponent
    return IntensityDistribution("C", np.array((0.0, 360.0)), polar, np.stack((row, row)))


def hung(lamp: Shining, position_m: Vector, heading_deg: float, tilt_deg: float, roll_deg: float = 0.0) -> Lamps:
    """One lamp as the engine takes it, hung as a lamp of a scene is."""
    usual = default_orientation(lamp.distribution.photometric_type)
    placed = PlacedLamp(
        id="lamp",
        vehicle_id="",
        circuit="",
        luminaire=bare_luminaire(lamp.distribution, lamp.opening, usual),
        light_loss_factor=1.0,
        heading_deg=heading_deg,
        tilt_deg=tilt_deg,
        position_m=position_m,
        axes=aim_axes(heading_deg, tilt_deg, roll_deg),
    )
    return engine_lamps([placed])


def lux(lamps: Lamps, point_m: Vector, facing: Vector, plane: Plane = Plane.PLANE) -> float:
    """Illuminance of all lamps at a point [lx]."""
    return float(illuminance(lamps, Blockers.none(), [point_m], facing, plane).sum())
