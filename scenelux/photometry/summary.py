"""All that is said about a luminaire at once: its identity, its measures, its mounting and the warnings of its file."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from scenelux.photometry.distribution import IntensityDistribution, Opening
from scenelux.photometry.faults import FileWarning
from scenelux.photometry.file import PhotometricFile
from scenelux.photometry.measures import (
    Peak,
    Widths,
    beam_angles,
    candela_in_vehicle_convention,
    field_angles,
    flux_lm,
    peak,
)
from scenelux.photometry.orientation import LampOpening, Orientation, opening_in_lamp
from scenelux.photometry.upward import flux_above_horizontal_lm

__all__ = ["ELEVATIONS_DEG", "Summary", "summarise"]

ELEVATIONS_DEG = (0.0, -2.0, -5.9, -10.0)
"""The horizon and below it: where the eyes of those who come nearer are [deg]."""


@dataclass(frozen=True, eq=False)
class Summary:
    """A luminaire in figures.

    Parameters
    ----------
    distribution, orientation, opening : intensities and mounting; the opening as it sits on the lamp.
    file : as read; none for a stated beam.
    flux_lm, rated_flux_lm : of the intensities, and of the rated lamps where a file states them [lm].
    peak, beam_deg, field_deg : highest intensity and full widths.
    tilt_deg, flux_above_lm : flux above the horizontal when the beam has this tilt [deg, lm].
    elevations : (elevation, intensity) straight ahead at that tilt, towards the horizon and below [deg, cd].
    """

    distribution: IntensityDistribution
    orientation: Orientation
    opening: LampOpening
    file: PhotometricFile | None
    flux_lm: float
    rated_flux_lm: float | None
    peak: Peak
    beam_deg: Widths
    field_deg: Widths
    tilt_deg: float
    flux_above_lm: float
    elevations: tuple[tuple[float, float], ...]

    @property
    def warnings(self) -> tuple[FileWarning, ...]:
        """What the user of the file should know."""
        return self.file.warnings if self.file else ()


def summarise(
    source: PhotometricFile | IntensityDistribution,
    orientation: Orientation,
    *,
    opening: Opening | None = None,
    tilt_deg: float = 0.0,
) -> Summary:
    """Everything about a luminaire, from its file or from the distribution of a stated beam.

    Parameters
    ----------
    source : a file as read, or a distribution.
    orientation : how the lamp is mounted.
    opening : of a lamp without a file; the file's own otherwise.
    tilt_deg : of the beam, negative = down, for the flux above the horizontal [deg].
    """
    file = source if isinstance(source, PhotometricFile) else None
    distribution = source.distribution if isinstance(source, PhotometricFile) else source
    ahead = candela_in_vehicle_convention(distribution, orientation, 90.0, np.subtract(ELEVATIONS_DEG, tilt_deg))
    return Summary(
        distribution=distribution,
        orientation=orientation,
        opening=opening_in_lamp(file.opening if file else opening or Opening(), orientation),
        file=file,
        flux_lm=flux_lm(distribution),
        rated_flux_lm=file.rated_flux_lm if file else None,
        peak=peak(distribution, orientation),
        beam_deg=beam_angles(distribution, orientation),
        field_deg=field_angles(distribution, orientation),
        tilt_deg=tilt_deg,
        flux_above_lm=flux_above_horizontal_lm(distribution, orientation, tilt_deg),
        elevations=tuple(zip(ELEVATIONS_DEG, ahead.tolist(), strict=True)),
    )
