"""Writes EULUMDAT: all factors in the intensities, only exact symmetry left out, and a word on what finds no place."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scenelux.photometry.digits import shortest, six_digits
from scenelux.photometry.distribution import IntensityDistribution, Opening
from scenelux.photometry.edges import continued
from scenelux.photometry.eulumdat.fields import HEAD
from scenelux.photometry.eulumdat.planes import reduced_planes
from scenelux.photometry.eulumdat.texts import (
    kept_numbers,
    kept_rated_flux_lm,
    kept_texts,
    other_sets,
)
from scenelux.photometry.file import PhotometricFile
from scenelux.photometry.limits import check_written_table, written
from scenelux.photometry.measures import flux_lm
from scenelux.photometry.to_type_c import resampling_error, to_type_c

__all__ = ["write_eulumdat"]

Array = NDArray[np.float64]

_LEAST_FLUX_LM = 1e-6  # written for a lamp with less light: intensities stand per 1000 lm
_LEAST_PEAK = 1e-6  # in cd per 1000 lm; less is written as 0
_MOST_RATIO = 1e6  # of flux to rated flux
_LEAST_WIDTH_MM = 1.0  # written for an opening without width, since 0 would make it a circle
_OWN_SOLIDS = ("point", "rectangle", "box", "circle", "vertical cylinder")


def write_eulumdat(file: PhotometricFile) -> tuple[bytes, tuple[str, ...]]:
    """A photometric file as EULUMDAT, and sentences about what the format cannot hold.

    Intensities have six significant digits and every factor in them, the conversion factor is 1. Types A and B become
    type C (`to_type_c`). Absolute photometry is written with -1 lamps, the flux of the luminaire and a light output
    ratio of 100 %, unless the keyword _RATEDLUMENS tells the flux of its lamps. Light output ratio and downward flux
    fraction are computed; direct ratios, which belong to rooms, are not: they are handed on where a keyword has them
    and 0 otherwise. Texts are Windows-1252, line ends CR LF.

    Parameters
    ----------
    file : as read from any format.

    Source
    ------
    The format as described by its implementers; its original text was not read.
    """
    told: list[str] = []
    distribution = _type_c(file, told)
    flux = flux_lm(distribution)
    lamps, set_flux = _lamps(file, flux, told)
    symmetry, planes, stored = reduced_planes(distribution.horizontal_deg, distribution.candela)
    _, gamma, candela = continued("C", planes, distribution.vertical_deg, stored)
    check_written_table(planes.size, gamma.size)
    share = 100.0 * flux / float(set_flux) if float(set_flux) else 0.0
    below = 100.0 * _flux_below_lm(distribution) / flux if flux else 0.0
    ratios = {"_LORL": 100.0 if lamps == "-1" else share, "_DFF": below}
    texts = kept_texts(file, told)
    numbers, direct = kept_numbers(file, "1" if symmetry == 1 else "3", ratios, told)
    values = texts | numbers | _counts(symmetry, planes, gamma) | _opening(file.opening, told)
    sets = other_sets(file, told)
    values["number of lamp sets"] = str(1 + len(sets))
    lines = [values[field.name] for field in HEAD]
    lines += [lamps, texts["lamp type"], set_flux, texts["colour"], texts["colour rendering group"]]
    lines += [six_digits(file.input_watts), *(token for one in sets for token in one), *direct]
    lines += [_angle(angle) for angle in (*planes.tolist(), *gamma.tolist())]
    relative = candela * (1000.0 / float(set_flux) if float(set_flux) else 0.0)
    lines += map(six_digits, relative.ravel().tolist())
    _tell_what_else(file, told)
    return written("".join(f"{line}\r\n" for line in lines).encode("cp1252")), tuple(told)


def _type_c(file: PhotometricFile, told: list[str]) -> IntensityDistribution:
    source = file.distribution
    result = to_type_c(source)
    if source.photometric_type == "A":
        told.append("the planes of type A are written as those of type C")
    elif source.photometric_type == "B":
        error = resampling_error(source, result)
        told.append(
            f"the intensities of type B are resampled to type C: {error.directions_percent:.2g} % of the directions "
            f"differ by more than 0.5 % of the peak, the flux by {error.flux_percent:.2g} %"
        )
    return result


def _lamps(file: PhotometricFile, flux: float, told: list[str]) -> tuple[str, str]:
    """Number of lamps and flux of the lamp set, as written."""
    rated = file.rated_flux_lm if file.rated_flux_lm is not None else kept_rated_flux_lm(file)
    peak = float(file.distribution.candela.max())
    fits = peak == 0.0 or (rated is not None and 1000.0 * peak > _LEAST_PEAK * rated and flux < _MOST_RATIO * rated)
    if rated and six_digits(rated) != "0" and fits:
        return str(max(1, file.lamps)), six_digits(rated)
    if rated is not None:
        why = "is 0" if six_digits(rated) == "0" else f"is far {'above' if rated > flux else 'below'} that of the file"
        told.append(f"the rated flux {why}, so the file is written as absolute photometry")
    least = _LEAST_FLUX_LM if peak else 0.0
    return "-1", six_digits(max(flux, least))


def _counts(symmetry: int, planes: Array, gamma: Array) -> dict[str, str]:
    around = np.append(planes[planes < 360.0], 360.0)
    return {
        "symmetry": str(symmetry),
        "number of C-planes": str(planes.size),
        "step of the C-planes": _step(around) if planes.size > 1 else "0",
        "number of gamma angles": str(gamma.size),
        "step of the gamma angles": _step(gamma),
    }


def _angle(value: float) -> str:
    """An angle with at most nine decimals."""
    return shortest(round(value, 9))


def _step(angles: Array) -> str:
    """The step of equal ones, else 0."""
    steps = np.diff(angles)
    return _angle(float(steps[0])) if np.ptp(steps) < 1e-6 else "0"


def _flux_below_lm(distribution: IntensityDistribution) -> float:
    """Flux at gamma angles up to 90 deg, below the horizontal through the photometric centre."""
    gamma, candela = distribution.vertical_deg, distribution.candela
    if gamma[-1] <= 90.0:
        return flux_lm(distribution)
    if gamma[0] >= 90.0:
        return 0.0
    level = distribution.candela_at(distribution.horizontal_deg, 90.0)
    below = gamma < 90.0
    part = np.column_stack((candela[:, below], level))
    return flux_lm(IntensityDistribution("C", distribution.horizontal_deg, np.append(gamma[below], 90.0), part))


def _opening(opening: Opening, told: list[str]) -> dict[str, str]:
    """Luminous length lies along C90-C270 here and along the 0-degree plane in an opening: the two are swapped."""
    length, width, height = (
        1000.0 * opening.width_m,
        1000.0 * opening.length_m,
        1000.0 * opening.height_m,
    )
    if opening.solid not in _OWN_SOLIDS:
        told.append(f"the shape of the opening ({opening.solid}) is written by its outline")
    if opening.shape == "ellipse" and abs(length - width) <= 1e-6 * length:
        width = 0.0
    elif opening.shape == "ellipse":
        told.append("an elliptic opening is written as a rectangle of its sizes")
    if length > 0.0 and width == 0.0 and not (opening.shape == "ellipse" and opening.length_m > 0.0):
        told.append(f"an opening without width is written {_LEAST_WIDTH_MM:g} mm wide, since 0 means a circle")
        width = _LEAST_WIDTH_MM
    sizes = {"luminous length": six_digits(length), "luminous width": six_digits(width)}
    return sizes | {f"luminous height at {side}": six_digits(height) for side in ("C0", "C90", "C180", "C270")}


def _tell_what_else(file: PhotometricFile, told: list[str]) -> None:
    if file.tilt is not None:
        told.append("the format has no table of tilt factors")
    if file.generation is not None:
        told.append("the format has no field for how the file came about")
    if file.basis is not None:
        told.append(f"the format has no field for the basis of the values ({file.basis})")
    if file.points:
        told.append("the format has no test points: the table between them is written")
