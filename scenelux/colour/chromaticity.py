"""Chromaticity of a spectrum, and the loci of spectral lights and of Planckian radiators, computed from the tables."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.colour.spectrum import Spectrum
from scenelux.colour.tables import SpectralTable, spectral_table

__all__ = ["chromaticity_of", "planckian_xy", "planckian_y", "spectrum_locus", "weighted"]

Array = NDArray[np.float64]

SECOND_RADIATION_M_K = 6.62607015e-34 * 299792458.0 / 1.380649e-23
"""Second radiation constant h c / k of the SI of 2019."""

_LOCUS_NM = (380, 700)  # beyond, the chromaticity stays where it is
_FINE_K = (1000.0, 20_000.0)


def weighted(spectrum: Spectrum, table: SpectralTable, low_nm: float = 0.0, high_nm: float = 1e4) -> Array:
    """Integral of the power times each function, exact where both run straight between their wavelengths.

    Parameters
    ----------
    spectrum : the power.
    table : functions at 1 nm.
    low_nm, high_nm : ends of the integral, where both are known [nm].

    Example
    -------
    >>> import numpy as np
    >>> from scenelux.colour.spectrum import spectrum_of
    >>> equal = spectrum_of(np.arange(360, 831), np.ones(471))
    >>> weighted(equal, spectral_table("photopic")).round(3).tolist()
    [106.857]
    """
    nodes = np.union1d(spectrum.wavelength_nm, table.wavelength_nm)
    low = max(low_nm, spectrum.wavelength_nm[0], table.wavelength_nm[0])
    high = min(high_nm, spectrum.wavelength_nm[-1], table.wavelength_nm[-1])
    nodes = nodes[(nodes >= low) & (nodes <= high)]
    power = np.interp(nodes, spectrum.wavelength_nm, spectrum.power)
    functions = [np.interp(nodes, table.wavelength_nm, column) for column in table.values.T]
    return np.array([np.trapezoid(power * function, nodes) for function in functions], np.float64)


def chromaticity_of(spectrum: Spectrum) -> tuple[float, float]:
    """Chromaticity x, y of a spectrum for the CIE 1931 observer; nan where nothing of it is visible.

    Source
    ------
    CIE 015:2018, ISO/CIE 11664-1:2019, colour-matching functions at 1 nm as quoted by a general library.

    Example
    -------
    >>> import numpy as np
    >>> from scenelux.colour.spectrum import spectrum_of
    >>> [round(part, 4) for part in chromaticity_of(spectrum_of(np.arange(360, 831), np.ones(471)))]
    [0.3333, 0.3333]
    """
    x, y = _xy(weighted(spectrum, spectral_table("observer")))
    return float(x), float(y)


def _xy(tristimulus: Array) -> Array:
    total = tristimulus.sum(axis=-1, keepdims=True)
    return np.asarray(tristimulus[..., :2] / np.where(total > 0.0, total, np.nan), np.float64)


@cache
def spectrum_locus() -> Array:
    """Chromaticities of spectral lights from 380 to 700 nm at 1 nm, (n, 2); the purple line closes them.

    Example
    -------
    >>> spectrum_locus()[470 - 380].round(4).tolist()
    [0.1241, 0.0578]
    """
    table = spectral_table("observer")
    inside = (table.wavelength_nm >= _LOCUS_NM[0]) & (table.wavelength_nm <= _LOCUS_NM[1])
    locus = _xy(table.values[inside])
    locus.setflags(write=False)
    return locus


def planckian_xy(temperature_k: ArrayLike) -> Array:
    """Chromaticity of the Planckian radiator, (..., 2).

    Parameters
    ----------
    temperature_k : above 0 [K].

    Source
    ------
    Planck's law with the constants of the SI of 2019, weighed with the CIE 1931 observer at 1 nm.

    Example
    -------
    >>> planckian_xy([2856.0]).round(4).tolist()
    [[0.4475, 0.4074]]
    """
    table = spectral_table("observer")
    wavelength = table.wavelength_nm * 1e-9
    over = SECOND_RADIATION_M_K / (np.asarray(temperature_k, np.float64)[..., np.newaxis] * wavelength)
    with np.errstate(over="ignore"):
        power = (wavelength[-1] / wavelength) ** 5 / np.expm1(over)
    return _xy(power @ table.values)


@cache
def _locus_by_x() -> tuple[Array, Array]:
    mired = np.linspace(1e6 / _FINE_K[0], 1e6 / _FINE_K[1], 1000)
    x, y = planckian_xy(1e6 / mired).T
    return x[::-1], y[::-1]


def planckian_y(x: ArrayLike) -> Array:
    """The y of the Planckian radiator that has this x, between 1000 and 20,000 K, nan outside.

    Parameters
    ----------
    x : of CIE 1931, from 0.257 to 0.653.

    Example
    -------
    >>> planckian_y([0.4475, 0.7]).round(4).tolist()
    [0.4074, nan]
    """
    known_x, known_y = _locus_by_x()
    return np.asarray(np.interp(np.asarray(x, np.float64), known_x, known_y, left=np.nan, right=np.nan))
