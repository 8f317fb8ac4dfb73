"""User keywords in which every format carries what it has no field for; a name means the same everywhere."""

from __future__ import annotations

__all__ = ["BASIS", "GENERATION", "HOUSING_MM", "RATED_LUMENS"]

RATED_LUMENS = "_RATEDLUMENS"
"""Flux of the rated lamps beside absolute intensities [lm]."""

GENERATION = "_FILEGENERATION"
"""The file generation type of LM-63-2019."""

BASIS = "_BASIS"
"""Whether the values are measured or a required minimum."""

HOUSING_MM = "_LUMINAIRESIZEMM"
"""Length, width and height of the luminaire [mm], which is not its luminous opening."""
