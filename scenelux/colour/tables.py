"""The tables of shared/colour: spectral functions of the CIE at 1 nm, and S/P ratios of known light sources."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from scenelux.shipped import shipped
from scenelux.sources import Source

__all__ = ["SpectralTable", "colour_table", "default_ratios", "spectral_table"]

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class SpectralTable:
    """Spectral functions side by side, at 1 nm."""

    wavelength_nm: Array  # (n,)
    values: Array  # (n, functions)
    source: Source


@cache
def colour_table(name: str) -> dict[str, Any]:
    """A document of shared/colour as it stands.

    Example
    -------
    >>> colour_table("observer")["first_nm"]
    360
    """
    return tomllib.loads((shipped("shared") / "colour" / f"{name}.toml").read_text(encoding="utf-8"))


@cache
def spectral_table(name: Literal["observer", "photopic", "scotopic"]) -> SpectralTable:
    """Colour-matching functions x, y, z of 1931, or the luminous efficiency for day or night vision.

    Example
    -------
    >>> spectral_table("observer").values.shape
    (471, 3)
    """
    table = colour_table(name)
    columns = {"observer": ("x_bar", "y_bar", "z_bar"), "photopic": ("photopic",), "scotopic": ("scotopic",)}[name]
    values = np.array([table[column] for column in columns], np.float64).T
    wavelength = table["first_nm"] + table["step_nm"] * np.arange(len(values), dtype=np.float64)
    for array in (values, wavelength):
        array.setflags(write=False)
    return SpectralTable(wavelength, values, Source(table["source"], status=table["status"]))


@cache
def default_ratios() -> tuple[Array, Array]:
    """Colour temperatures [K] and S/P ratios of the series of blue-pumped LEDs, rising.

    Example
    -------
    >>> default_ratios()[0].tolist()
    [2730.0, 3000.0, 4100.0, 5100.0, 6600.0]
    """
    rows = [row for row in colour_table("sp-ratios")["ratios"] if row.get("default_series")]
    cct, ratio = np.array([(row["cct_k"], row["sp_ratio"]) for row in rows], np.float64).T
    return cct, ratio
