"""The colour of lamps: chromaticity, colour temperature, S/P ratio, and the published regions of signal colours."""

from scenelux.colour.check import ColourVerdict, check_colour
from scenelux.colour.chromaticity import chromaticity_of, planckian_xy, planckian_y, spectrum_locus
from scenelux.colour.lamp import Known, LampColour, lamp_colour
from scenelux.colour.margin import boundary_distance
from scenelux.colour.ratio import default_sp_ratio, sp_ratio_of
from scenelux.colour.regions import Region, in_region, is_real_colour, regions_of, signal_regions
from scenelux.colour.signals import SignalColour, check_signal_colours
from scenelux.colour.spectrum import Spectrum, read_spectrum, spectrum_of
from scenelux.colour.temperature import Temperature, correlated_temperature

__all__ = [
    "ColourVerdict",
    "Known",
    "LampColour",
    "Region",
    "SignalColour",
    "Spectrum",
    "Temperature",
    "boundary_distance",
    "check_colour",
    "check_signal_colours",
    "chromaticity_of",
    "correlated_temperature",
    "default_sp_ratio",
    "in_region",
    "is_real_colour",
    "lamp_colour",
    "planckian_xy",
    "planckian_y",
    "read_spectrum",
    "regions_of",
    "signal_regions",
    "sp_ratio_of",
    "spectrum_locus",
    "spectrum_of",
]
