"""Luminous intensities of lamps: files and stated beams to one distribution, its measures, and its mounting."""

from scenelux.photometry.beams import (
    Beam,
    Compound,
    CosinePower,
    EllipticalGaussian,
    FlatTop,
    beam_candela,
    cosine_power_exponent,
)
from scenelux.photometry.convert import Converted, Target, convert
from scenelux.photometry.directions import PhotometricType, angles, direction
from scenelux.photometry.distribution import IntensityDistribution, Opening
from scenelux.photometry.eulumdat.read import read_eulumdat
from scenelux.photometry.eulumdat.write import write_eulumdat
from scenelux.photometry.faults import FileWarning
from scenelux.photometry.file import Basis, Format, Generation, PhotometricFile, TestPoint
from scenelux.photometry.formats import Neighbour, format_of, read_photometric, with_basis
from scenelux.photometry.hv.notation import point_of
from scenelux.photometry.hv.read import read_hv_table
from scenelux.photometry.hv.write import write_hv_table
from scenelux.photometry.intensities import lit_at_the_end
from scenelux.photometry.lm63.convert import write_lm63_file
from scenelux.photometry.lm63.read import read_lm63
from scenelux.photometry.lm63.write import write_lm63
from scenelux.photometry.measures import (
    Peak,
    Widths,
    beam_angles,
    candela_in_vehicle_convention,
    field_angles,
    flux_lm,
    own_angles,
    peak,
    vehicle_angles,
)
from scenelux.photometry.orientation import (
    LampOpening,
    Orientation,
    PolarTable,
    default_orientation,
    opening_in_lamp,
    orientation_text,
    parse_orientation,
    polar_table,
)
from scenelux.photometry.recipes import FORMS, Recipe, read_recipes, stated_opening
from scenelux.photometry.sampling import sample
from scenelux.photometry.summary import Summary, summarise
from scenelux.photometry.tilt import TiltTable
from scenelux.photometry.tm33.read import read_tm33
from scenelux.photometry.tm33.write import write_tm33
from scenelux.photometry.to_type_c import ResamplingError, resampling_error, to_type_c
from scenelux.photometry.upward import flux_above_horizontal_lm

__all__ = [
    "FORMS",
    "Basis",
    "Beam",
    "Compound",
    "Converted",
    "CosinePower",
    "EllipticalGaussian",
    "FileWarning",
    "FlatTop",
    "Format",
    "Generation",
    "IntensityDistribution",
    "LampOpening",
    "Neighbour",
    "Opening",
    "Orientation",
    "Peak",
    "PhotometricFile",
    "PhotometricType",
    "PolarTable",
    "Recipe",
    "ResamplingError",
    "Summary",
    "Target",
    "TestPoint",
    "TiltTable",
    "Widths",
    "angles",
    "beam_angles",
    "beam_candela",
    "candela_in_vehicle_convention",
    "convert",
    "cosine_power_exponent",
    "default_orientation",
    "direction",
    "field_angles",
    "flux_above_horizontal_lm",
    "flux_lm",
    "format_of",
    "lit_at_the_end",
    "opening_in_lamp",
    "orientation_text",
    "own_angles",
    "parse_orientation",
    "peak",
    "point_of",
    "polar_table",
    "read_eulumdat",
    "read_hv_table",
    "read_lm63",
    "read_photometric",
    "read_recipes",
    "read_tm33",
    "resampling_error",
    "sample",
    "stated_opening",
    "summarise",
    "to_type_c",
    "vehicle_angles",
    "with_basis",
    "write_eulumdat",
    "write_hv_table",
    "write_lm63",
    "write_lm63_file",
    "write_tm33",
]
