"""All that is said about a luminaire at once: its identity, its measures, its mounting and the warnings of its file."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from scenelux.photometry.coverage import not_known, upward_not_known
from scenelux.photometry.distribution import IntensityDistribution, Opening
from scenelux.photometry.faults import FileWarning
from scenelux.photometry.file import PhotometricFile
from scenelux.photometry.lamp_checks import check_lamp
from scenelux.photometry.measures import (
    Peak,
    Widths,
    beam_angles,
    beam_angles_through_peak,
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
    beam_through_peak_deg : beam angles in the planes through the peak instead of the beam axis.
    tilt_deg, flux_above_lm : flux above the horizontal when the beam has this tilt; None where the data do not cover
        all directions above it and the lamp is still bright, above 2 % of its peak, where they end [deg, lm].
    elevations : (elevation, intensity) straight ahead at that tilt, towards the horizon and below; None by the same
        rule [deg, cd].
    lamp_warnings : what the lamp as mounted and powered gives reason to doubt.
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
    beam_through_peak_deg: Widths
    tilt_deg: float
    flux_above_lm: float | None
    elevations: tuple[tuple[float, float | None], ...]
    lamp_warnings: tuple[FileWarning, ...] = ()

    @property
    def warnings(self) -> tuple[FileWarning, ...]:
        """What the user of the file, and of the lamp, should know."""
        return (*(self.file.warnings if self.file else ()), *self.lamp_warnings)


def summarise(
    source: PhotometricFile | IntensityDistribution,
    orientation: Orientation,
    *,
    opening: Opening | None = None,
    tilt_deg: float = 0.0,
    power_w: float | None = None,
) -> Summary:
    """Everything about a luminaire, from its file or from the distribution of a stated beam.

    Parameters
    ----------
    source : a file as read, or a distribution.
    orientation : how the lamp is mounted.
    opening : of a lamp without a file; the file's own otherwise.
    tilt_deg : of the beam, negative = down, for the flux above the horizontal [deg].
    power_w : electrical input; the file's own where it is not given [W].
    """
    file = source if isinstance(source, PhotometricFile) else None
    distribution = source.distribution if isinstance(source, PhotometricFile) else source
    flux = flux_lm(distribution)
    unknown = upward_not_known(distribution, orientation, tilt_deg)
    return Summary(
        distribution=distribution,
        orientation=orientation,
        opening=opening_in_lamp(file.opening if file else opening or Opening(), orientation),
        file=file,
        flux_lm=flux,
        rated_flux_lm=file.rated_flux_lm if file else None,
        peak=peak(distribution, orientation),
        beam_deg=beam_angles(distribution, orientation),
        field_deg=field_angles(distribution, orientation),
        beam_through_peak_deg=beam_angles_through_peak(distribution, orientation),
        tilt_deg=tilt_deg,
        flux_above_lm=None if unknown else flux_above_horizontal_lm(distribution, orientation, tilt_deg),
        elevations=_ahead(distribution, orientation, tilt_deg),
        lamp_warnings=check_lamp(distribution, orientation, flux, power_w or (file.input_watts if file else None)),
    )


def _ahead(
    distribution: IntensityDistribution, orientation: Orientation, tilt_deg: float
) -> tuple[tuple[float, float | None], ...]:
    """Elevation and intensity straight ahead."""
    gamma = np.subtract(ELEVATIONS_DEG, tilt_deg)
    candela = candela_in_vehicle_convention(distribution, orientation, 90.0, gamma).tolist()
    missing = not_known(distribution, orientation, 90.0, gamma).tolist()
    known = (None if unknown else one for one, unknown in zip(candela, missing, strict=True))
    return tuple(zip(ELEVATIONS_DEG, known, strict=True))
