"""The TILT table of a photometric file: how much light a lamp gives when it does not hang as it was measured."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

__all__ = ["LARGEST_FACTOR", "MOST_TILTS", "TiltTable"]

MOST_TILTS = 10_000
"""Most angles of a table."""

LARGEST_FACTOR = 1000.0
"""Of a table; more is a fault of the file."""


@dataclass(frozen=True)
class TiltTable:
    """One factor for the whole distribution, by the tilt of the lamp.

    Parameters
    ----------
    geometry : 1 = lamp upright when the luminaire is aimed straight down; 2 = lamp level, staying level when the
        luminaire is tilted up in the 0-degree plane; 3 = lamp level along the 0-degree plane.
    angles_deg : ascending, from 0 to 90 or to 180 [deg].
    factors : one for each angle.
    lamp_position_deg : (h, v) of the keyword LAMPPOSITION, which supersedes the geometry [deg].

    Source
    ------
    ANSI/IESNA LM-63-2002, Annexes E and F.

    Example
    -------
    >>> TiltTable(1, (0.0, 45.0, 90.0), (1.0, 0.9, 0.7)).factor_at(60.0)
    0.8333333333333334
    """

    geometry: int
    angles_deg: tuple[float, ...]
    factors: tuple[float, ...]
    lamp_position_deg: tuple[float, float] | None = None

    @property
    def source_position_deg(self) -> tuple[float, float]:
        """Direction of the light source as type C angles (C, gamma): the stated position, or that of the geometry."""
        return self.lamp_position_deg or {1: (0.0, 0.0), 2: (90.0, 90.0), 3: (0.0, 90.0)}[self.geometry]

    def factor_at(self, tilt_deg: float) -> float:
        """The factor at a tilt, linear between the angles; nan outside them.

        A table that ends at 90 deg counts for both halves alike, which implementers report and no edition read here
        confirms.

        Parameters
        ----------
        tilt_deg : 0..180 [deg].
        """
        folded = 180.0 - tilt_deg if self.angles_deg[-1] <= 90.0 < tilt_deg else tilt_deg
        return float(np.interp(folded, self.angles_deg, self.factors, left=np.nan, right=np.nan))
