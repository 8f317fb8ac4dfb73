"""Luminaires: from a card, with its photometric file or its stated beam, to a table that the engine takes."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scenelux.errors import DocumentError, InputError
from scenelux.photometry import (
    CosinePower,
    EllipticalGaussian,
    FlatTop,
    IntensityDistribution,
    Opening,
    Orientation,
    PhotometricFile,
    PolarTable,
    TiltTable,
    flux_lm,
    lit_at_the_end,
    opening_in_lamp,
    parse_orientation,
    peak,
    polar_table,
    read_photometric,
    sample,
    stated_opening,
    with_basis,
)
from scenelux.scene.cards import Beam, Card, Luminaire

__all__ = ["LuminaireData", "bare_luminaire", "beam_of", "load_luminaire"]

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class LuminaireData:
    """A luminaire ready to be hung.

    Parameters
    ----------
    name, title, kind, data_class, status, power_w : as its card says.
    distribution, opening, orientation : intensities, luminous opening and mounting.
    table : the same for the engine.
    flux_lm, peak_cd : measures of the distribution.
    opening_m, opening_axes, opening_round : sizes, and rows of their directions in lamp axes.
    warnings : sentences about its file.
    file : the photometric file as read; none for a stated beam.
    tilt_table : applied when a lamp is hung; only where the card asks for it.
    uncertainty : shares by which the light in the beam and outside it may be off, where the card states them.
    """

    name: str
    title: str
    kind: str
    data_class: str
    status: str
    power_w: float | None
    distribution: IntensityDistribution
    opening: Opening
    orientation: Orientation
    table: PolarTable
    flux_lm: float
    peak_cd: float
    opening_m: tuple[float, float, float]
    opening_axes: Array
    opening_round: bool
    warnings: tuple[str, ...]
    file: PhotometricFile | None = None
    tilt_table: TiltTable | None = None
    uncertainty: tuple[float, float] | None = None

    @property
    def bright_where_unknown(self) -> bool:
        """More light may leave the lamp outside its beam than its data say: required values, or data that end lit."""
        if self.file is None:
            return False
        return self.file.basis == "required minimum" or lit_at_the_end(self.distribution)

    @property
    def data_words(self) -> str:
        """The data class as results show it; values that are only the least required are told beside it."""
        required = self.file is not None and self.file.basis == "required minimum"
        return f"{self.data_class}, required minimum" if required else self.data_class


def load_luminaire(luminaire: Luminaire) -> LuminaireData:
    """Reads a luminaire's photometric file, or samples its beam, and mounts it as its card says.

    Parameters
    ----------
    luminaire : card and bytes as the scene found them.
    """
    card = luminaire.card
    try:
        file = _file(luminaire)
        distribution, opening = (file.distribution, file.opening) if file else _stated(card)
        orientation = parse_orientation(distribution.photometric_type, card.face, card.top)
    except InputError as error:
        raise error.at(file=luminaire.card_file) from None
    return replace(
        bare_luminaire(distribution, opening, orientation),
        name=luminaire.name,
        title=card.name,
        kind=card.kind,
        data_class=card.data_class,
        status=card.source.status,
        power_w=card.power_w,
        warnings=tuple(warning.sentence for warning in file.warnings) if file else (),
        file=file,
        tilt_table=file.tilt if file and card.apply_tilt_table else None,
        uncertainty=(card.uncertainty.in_beam, card.uncertainty.outside_beam) if card.uncertainty else None,
    )


def bare_luminaire(distribution: IntensityDistribution, opening: Opening, orientation: Orientation) -> LuminaireData:
    """A luminaire of which nothing is known but its light, opening and mounting.

    Parameters
    ----------
    distribution, opening, orientation : as in `LuminaireData`.
    """
    mounted = opening_in_lamp(opening, orientation)
    return LuminaireData(
        name="",
        title="",
        kind="",
        data_class="",
        status="",
        power_w=None,
        distribution=distribution,
        opening=opening,
        orientation=orientation,
        table=polar_table(distribution, orientation),
        flux_lm=flux_lm(distribution),
        peak_cd=peak(distribution, orientation).candela,
        opening_m=mounted.size_m,
        opening_axes=mounted.axes,
        opening_round=mounted.is_round,
        warnings=(),
    )


def _file(luminaire: Luminaire) -> PhotometricFile | None:
    """The photometric file of a luminaire, with what its card says about it."""
    if luminaire.data is None:
        return None
    card, shown = luminaire.card, luminaire.data_file or luminaire.name
    part = card.lamp_set or card.emitter or 1
    file = read_photometric(luminaire.data, shown, neighbour=dict(luminaire.neighbours).get, part=part)
    if card.apply_tilt_table and file.tilt is None:
        accepted = "leave it out: the photometric file has no TILT table"
        raise DocumentError("has nothing to apply", key="apply_tilt_table", value=True, accepted=accepted)
    if card.basis is not None and file.basis not in (None, card.basis):
        raise DocumentError(
            "is not what the file says", key="basis", value=card.basis, accepted=f"it says {file.basis}"
        )
    return with_basis(file, card.basis) if card.basis is not None else file


def _stated(card: Card) -> tuple[IntensityDistribution, Opening]:
    """The beam and the opening that a card states."""
    assert card.beam is not None
    distribution, opening = sample(beam_of(card.beam)), card.opening
    if opening is None:
        return distribution, Opening()
    return distribution, stated_opening(distribution, opening.shape, opening.length_m, opening.width_m)


def beam_of(beam: Beam) -> CosinePower | EllipticalGaussian | FlatTop:
    """The parametric beam that a card states."""
    if beam.form == "cosine-power":
        assert beam.beam_angle_deg is not None
        return CosinePower(beam.flux_lm, beam.beam_angle_deg, cutoff_above_deg=beam.cutoff_above_deg)
    assert beam.across_deg is not None and beam.up_deg is not None
    if beam.form == "elliptical-gaussian":
        return EllipticalGaussian(beam.flux_lm, beam.across_deg, beam.up_deg, cutoff_above_deg=beam.cutoff_above_deg)
    assert beam.edge_deg is not None
    return FlatTop(beam.flux_lm, beam.across_deg, beam.up_deg, beam.edge_deg, cutoff_above_deg=beam.cutoff_above_deg)
