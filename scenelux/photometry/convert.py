"""Writes any photometric file in another format, and says what that format could not hold."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scenelux.names import CALCULATED_FROM_BEAM
from scenelux.photometry.directions import PhotometricType
from scenelux.photometry.distribution import IntensityDistribution
from scenelux.photometry.eulumdat.write import write_eulumdat
from scenelux.photometry.file import PhotometricFile
from scenelux.photometry.hv.write import write_hv_table
from scenelux.photometry.lm63.convert import write_lm63_file
from scenelux.photometry.tm33.write import write_tm33
from scenelux.photometry.to_type_c import resampling_error, to_type_c

__all__ = ["Converted", "Target", "convert"]

_STEEP_DEG = 0.011  # a fall to 0 within this is the end of a table and no slope

Target = Literal["LM-63-2002", "LM-63-2019", "EULUMDAT", "TM-33", "H-V table"]


@dataclass(frozen=True)
class Converted:
    """A file to write.

    Parameters
    ----------
    data : its bytes.
    photometric_type : of its intensities; where it is another than before, the lamp needs another `face` and `top`.
    notes : what was resampled and what the format could not hold, one sentence each.
    """

    data: bytes
    photometric_type: PhotometricType
    notes: tuple[str, ...]


def convert(file: PhotometricFile, target: Target, *, type_c: bool = False) -> Converted:
    """A photometric file in another format; directions of the photometric frame of LM-63 keep their intensity.

    Parameters
    ----------
    file : as read from any format.
    target : the format; EULUMDAT knows type C only.
    type_c : turn types A and B into type C also where the format does not ask for it.

    Example
    -------
    >>> from scenelux.photometry.lm63.read import read_lm63
    >>> numbers = b"2 -1 1.2 3 1 1 2 -.08 -.08 0  .9 1 24  0 40 90  0  500 350 0"
    >>> lamp = read_lm63(b"IESNA:LM-63-2002 [TEST] x TILT=NONE ".replace(b" ", bytes([10])) + numbers)
    >>> convert(lamp, "EULUMDAT").photometric_type
    'C'
    """
    notes: list[str] = []
    kind = file.distribution.photometric_type
    if kind != "C" and (type_c or target == "EULUMDAT"):
        turned = to_type_c(file.distribution)
        off = resampling_error(file.distribution, turned)
        notes.append(
            f"type {kind} is now type C on {turned.horizontal_deg.size} x {turned.vertical_deg.size} angles; "
            f"intensities differ by at most {off.worst_percent:.2g} % of the peak ({off.directions_percent:.2g} % "
            f"of the directions by more than 0.5 %), the flux by {off.flux_percent:.2g} %"
        )
        file, kind = replace(file, distribution=turned, symmetry="none", points=()), "C"
    if _ends_lit(file.distribution) and target != "H-V table":
        notes.append("the format asks for angles that the data do not cover: 0 cd is written there, nothing is known")
    if target == "EULUMDAT":
        data, lost = write_eulumdat(replace(file, keywords=_with_origin(file)))
        return Converted(data, kind, (*notes, *lost))
    if target == "TM-33":
        data, lost = write_tm33(file)
        return Converted(data, kind, (*notes, *lost))
    if target == "H-V table":
        lost_here = {
            "TILT table": file.tilt is not None,
            "rated lumens": file.rated_flux_lm is not None,
            "input watts": file.input_watts > 0.0,
            "luminous opening": any(file.opening.size_m),
        }
        if any(lost_here.values()):
            notes.append(
                f"a table of points has no place for: {', '.join(key for key, had in lost_here.items() if had)}"
            )
        if file.basis is None:
            notes.append("the table calls its values measured: they are those of the file, which does not say")
        table = replace(file, distribution=_without_dark_rims(file.distribution))
        return Converted(write_hv_table(table, basis=file.basis or "measured"), kind, tuple(notes))
    return Converted(write_lm63_file(file, "2019" if target == "LM-63-2019" else "2002"), kind, tuple(notes))


def _with_origin(file: PhotometricFile) -> tuple[tuple[str, str], ...]:
    """Keywords whose TEST says that the file was calculated, where TESTLAB says it, which EULUMDAT cannot hold."""
    if CALCULATED_FROM_BEAM not in file.text("TESTLAB") or CALCULATED_FROM_BEAM in file.text("TEST"):
        return file.keywords
    told = [(key, f"{text}, {CALCULATED_FROM_BEAM}" if key == "TEST" else text) for key, text in file.keywords]
    return tuple(told) if file.text("TEST") else (("TEST", CALCULATED_FROM_BEAM), *told)


def _ends_lit(distribution: IntensityDistribution) -> bool:
    """Whether a table of types A and B stops short of the front half with light on."""
    if distribution.photometric_type == "C":
        return False
    candela, (h, v) = distribution.candela, (distribution.horizontal_deg, distribution.vertical_deg)
    edges = ((h[0] > -90.0, candela[0]), (h[-1] < 90.0, candela[-1]), (v[0] > -90.0, candela[:, 0]),
             (v[-1] < 90.0, candela[:, -1]))  # fmt: skip
    return any(short and bool((edge > 0.0).any()) for short, edge in edges)


def _without_dark_rims(distribution: IntensityDistribution) -> IntensityDistribution:
    """The table without the outer zeros that other formats ask for; a first line of zeros stays where it is a slope."""
    if distribution.photometric_type == "C" or not distribution.candela.any():
        return distribution
    lit = distribution.candela > 0.0
    h_kept = _lit_range(distribution.horizontal_deg, np.asarray(lit.any(axis=1)))
    v_kept = _lit_range(distribution.vertical_deg, np.asarray(lit.any(axis=0)))
    return IntensityDistribution(
        distribution.photometric_type, distribution.horizontal_deg[h_kept], distribution.vertical_deg[v_kept],
        distribution.candela[h_kept, v_kept],
    )  # fmt: skip


def _lit_range(angles: NDArray[np.float64], lit: NDArray[np.bool_]) -> slice:
    first, last = int(np.argmax(lit)), lit.size - 1 - int(np.argmax(lit[::-1]))
    if first > 0 and angles[first] - angles[first - 1] > _STEEP_DEG:
        first -= 1
    if last < lit.size - 1 and angles[last + 1] - angles[last] > _STEEP_DEG:
        last += 1
    return slice(first, last + 1) if last > first else slice(max(first - 1, 0), last + 2)
