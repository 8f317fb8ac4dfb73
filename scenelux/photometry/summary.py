"""All that is said about a luminaire at once: its identity, its measures, its mounting and the warnings of its file."""

from __future__ import annotations

from dataclasses import dataclass

from scenelux.photometry.distribution import IntensityDistribution, Opening
from scenelux.photometry.faults import FileWarning
from scenelux.photometry.file import PhotometricFile
from scenelux.photometry.measures import Peak, Widths, beam_angles, field_angles, flux_lm, peak
from scenelux.photometry.orientation import LampOpening, Orientation, opening_in_lamp
from scenelux.photometry.upward import flux_above_horizontal_lm

__all__ = ["Summary", "summarise"]


@dataclass(frozen=True, eq=False)
class Summary:
    """A luminaire in figures.

    Parameters
    ----------
    distribution, orientation, opening : intensities and mounting; the opening as it sits on the lamp.
    edition : year of LM-63, or "stated beam".
    symmetry : what the file left out, in words.
    factors : name and value of each factor that was applied.
    flux_lm, rated_flux_lm : of the intensities, and of the rated lamps where a file states them [lm].
    peak, beam_deg, field_deg : highest intensity and full widths.
    tilt_deg, flux_above_lm : flux above the horizontal when the beam has this tilt [deg, lm].
    input_watts : electrical input as stated by a file, None without one [W].
    warnings : of the file.
    """

    distribution: IntensityDistribution
    orientation: Orientation
    opening: LampOpening
    edition: str
    symmetry: str
    factors: tuple[tuple[str, float], ...]
    flux_lm: float
    rated_flux_lm: float | None
    peak: Peak
    beam_deg: Widths
    field_deg: Widths
    tilt_deg: float
    flux_above_lm: float
    input_watts: float | None
    warnings: tuple[FileWarning, ...]


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
    return Summary(
        distribution=distribution,
        orientation=orientation,
        opening=opening_in_lamp(file.opening if file else opening or Opening(), orientation),
        edition=file.title if file else "stated beam",
        symmetry=file.symmetry if file else "none",
        factors=file.factors if file else (),
        flux_lm=flux_lm(distribution),
        rated_flux_lm=file.rated_flux_lm if file else None,
        peak=peak(distribution, orientation),
        beam_deg=beam_angles(distribution, orientation),
        field_deg=field_angles(distribution, orientation),
        tilt_deg=tilt_deg,
        flux_above_lm=flux_above_horizontal_lm(distribution, orientation, tilt_deg),
        input_watts=file.input_watts if file else None,
        warnings=file.warnings if file else (),
    )
