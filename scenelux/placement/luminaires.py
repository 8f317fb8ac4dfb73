"""Luminaires: from a card, with its photometric file or its stated beam, to a table that the engine takes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scenelux.errors import InputError
from scenelux.photometry import (
    CosinePower,
    EllipticalGaussian,
    FlatTop,
    IntensityDistribution,
    Opening,
    Orientation,
    PolarTable,
    flux_lm,
    opening_in_lamp,
    parse_orientation,
    peak,
    polar_table,
    read_photometric,
    sample,
    stated_opening,
)
from scenelux.scene.model import Beam, Luminaire

__all__ = ["LuminaireData", "beam_of", "load_luminaire"]

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class LuminaireData:
    """A luminaire ready to be hung; the rows of opening_axes are the directions of the opening's sizes in lamp axes."""

    name: str
    title: str
    kind: str
    data_class: str
    status: str
    power_w: float | None
    distribution: IntensityDistribution
    orientation: Orientation
    table: PolarTable
    flux_lm: float
    peak_cd: float
    opening_m: tuple[float, float, float]
    opening_axes: Array
    opening_round: bool
    warnings: tuple[str, ...]


def load_luminaire(luminaire: Luminaire) -> LuminaireData:
    """Reads a luminaire's photometric file, or samples its beam, and mounts it as its card says.

    Parameters
    ----------
    luminaire : card and bytes as the scene found them.
    """
    card = luminaire.card
    try:
        distribution, opening, warnings = _photometry(luminaire)
        orientation = parse_orientation(distribution.photometric_type, card.face, card.top)
    except InputError as error:
        raise error.at(file=luminaire.card_file) from None
    mounted = opening_in_lamp(opening, orientation)
    return LuminaireData(
        name=luminaire.name,
        title=card.name,
        kind=card.kind,
        data_class=card.data_class,
        status=card.source.status,
        power_w=card.power_w,
        distribution=distribution,
        orientation=orientation,
        table=polar_table(distribution, orientation),
        flux_lm=flux_lm(distribution),
        peak_cd=peak(distribution, orientation).candela,
        opening_m=mounted.size_m,
        opening_axes=mounted.axes,
        opening_round=mounted.is_round,
        warnings=warnings,
    )


def _photometry(luminaire: Luminaire) -> tuple[IntensityDistribution, Opening, tuple[str, ...]]:
    if luminaire.data is not None:
        file = read_photometric(luminaire.data, luminaire.data_file or luminaire.name)
        return file.distribution, file.opening, tuple(warning.sentence for warning in file.warnings)
    assert luminaire.card.beam is not None
    distribution, opening = sample(beam_of(luminaire.card.beam)), luminaire.card.opening
    if opening is None:
        return distribution, Opening(), ()
    return distribution, stated_opening(distribution, opening.shape, opening.length_m, opening.width_m), ()


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
