"""The scotopic/photopic ratio: how much more a light source gives the eye of the night than its lumens say."""

from __future__ import annotations

import numpy as np

from scenelux.colour.chromaticity import weighted
from scenelux.colour.spectrum import VISIBLE_NM, Spectrum
from scenelux.colour.tables import default_ratios, spectral_table

__all__ = ["default_sp_ratio", "sp_ratio_of"]

DAY_LM_W = 683.0
NIGHT_LM_W = 1700.06


def sp_ratio_of(spectrum: Spectrum) -> float:
    """Scotopic/photopic ratio of a spectrum, 1700.06 int(S V')/(683 int(S V)) over 380 to 780 nm.

    Source
    ------
    CIE 018:2019, ISO/CIE 23539:2023, luminous efficiencies at 1 nm as quoted by a general library.

    Example
    -------
    >>> import numpy as np
    >>> from scenelux.colour.spectrum import spectrum_of
    >>> round(sp_ratio_of(spectrum_of(np.arange(380, 781), np.ones(401))), 3)
    2.261
    """
    night = float(weighted(spectrum, spectral_table("scotopic"), *VISIBLE_NM)[0])
    day = float(weighted(spectrum, spectral_table("photopic"), *VISIBLE_NM)[0])
    return NIGHT_LM_W * night / (DAY_LM_W * day) if day > 0.0 else float("nan")


def default_sp_ratio(cct_k: float) -> float:
    """The ratio that a blue-pumped white LED of this colour temperature has, nan outside 2730 to 6600 K.

    A colour temperature does not fix the ratio: this is a default where nothing else is known.

    Parameters
    ----------
    cct_k : correlated colour temperature [K].

    Source
    ------
    CIE 015:2018, illuminants LED-B1 to LED-B5, ratios as computed by a general library; straight between them.

    Example
    -------
    >>> round(default_sp_ratio(4600.0), 4), default_sp_ratio(2700.0)
    (1.785, nan)
    """
    known, ratios = default_ratios()
    return float(np.interp(cct_k, known, ratios, left=np.nan, right=np.nan))
