"""The colour of a luminaire, from what its card states."""

from __future__ import annotations

from scenelux.colour import LampColour, Spectrum, lamp_colour, read_spectrum
from scenelux.errors import InputError
from scenelux.scene.cards import Luminaire
from scenelux.sources import Source

__all__ = ["colour_of"]


def colour_of(luminaire: Luminaire) -> LampColour | None:
    """Word, chromaticity, colour temperature and S/P ratio of a luminaire; none where its card states no colour.

    Parameters
    ----------
    luminaire : card and bytes as the catalogue found them.
    """
    card = luminaire.card
    if card.colour_stated is None and card.chromaticity is None and luminaire.spectrum is None:
        return None
    said = card.source
    try:
        return lamp_colour(
            card.colour_stated,
            chromaticity_xy=card.chromaticity,
            spectrum=_spectrum(luminaire),
            sp_ratio=card.sp_ratio,
            source=Source(said.title, said.edition, said.clause, said.status),
        )
    except InputError as error:
        raise error.at(file=luminaire.card_file) from None


def _spectrum(luminaire: Luminaire) -> Spectrum | None:
    return None if luminaire.spectrum is None else read_spectrum(luminaire.spectrum, luminaire.spectrum_file or "")
