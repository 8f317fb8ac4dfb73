"""Reads LM-63 files of every edition: text, numbers, factors, symmetry, and what is odd about them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import prod

import numpy as np
from numpy.typing import NDArray

from scenelux.photometry.distribution import IntensityDistribution, Opening
from scenelux.photometry.faults import FaultLog
from scenelux.photometry.file import Generation, PhotometricFile
from scenelux.photometry.intensities import Places, check_intensities, clean_intensities
from scenelux.photometry.limits import LARGEST_SIZE_M, MOST_LAMPS, USUAL_SIZE_M
from scenelux.photometry.lm63.generation import generation_of
from scenelux.photometry.lm63.numbers import as_delimiters_or_points
from scenelux.photometry.lm63.openings import FOOT_M, read_opening
from scenelux.photometry.lm63.records import Records, read_records
from scenelux.photometry.lm63.text import Header, read_header
from scenelux.photometry.lm63.tilt_record import lamp_position, read_tilt_file
from scenelux.photometry.symmetry import SIDEWAYS, Refused, unfold
from scenelux.photometry.text import plain_bytes
from scenelux.photometry.tilt import TiltTable

__all__ = ["read_lm63"]

Array = NDArray[np.float64]
Neighbour = Callable[[str], bytes | None]

_UNITS_M = {1: FOOT_M, 2: 1.0}
_LARGEST_FLUX_LM = 1e12


def read_lm63(data: bytes, name: str = "", *, neighbour: Neighbour | None = None) -> PhotometricFile:
    """Reads an LM-63 file of any edition. A tilt table is kept and never applied.

    Parameters
    ----------
    data : the bytes of the file, at most 32 MB and 4 million intensities.
    name : of the file, for messages.
    neighbour : gives the bytes of a tilt file that lies beside the file, or None; it is asked for plain names only.

    Source
    ------
    ANSI/IESNA LM-63-2002, clauses 5 and 6; other editions as described by implementers.

    Example
    -------
    >>> numbers = b"2 -1 1.2 3 1 1 2 -.08 -.08 0  .9 1 24  0 40 90  0  500 350 0"
    >>> lamp = read_lm63(b"IESNA:LM-63-2002 [TEST] x TILT=NONE ".replace(b" ", bytes([10])) + numbers)
    >>> lamp.distribution.candela_at(0, [20, 65, 91]).round(6).tolist()
    [459.0, 189.0, 0.0]
    """
    log = FaultLog(name)
    body = plain_bytes(data, log)
    log.body = body
    header = read_header(body, log)
    kind = header.tilt.upper()
    records, candela = as_delimiters_or_points(
        body, header.numbers_at, log, lambda text, to: read_records(text, header.numbers_at, kind == "INCLUDE", to)
    )
    tilt = records.tilt
    if kind not in ("", "NONE", "INCLUDE"):
        tilt = _tilt_of_file(header, neighbour, log)
    tilt = _positioned(tilt, header, log)
    factors = _factors(header, records, log)
    candela = clean_intensities(candela, prod(value for _, value in factors), log, records.places["candela"])
    distribution, symmetry = _distribution(header, records, candela, log)
    del candela  # the table may be large
    rated = _rated_flux(records, log)
    opening, watts, generation = _opening(header, records, log), _watts(records, log), _generation(header, records, log)
    at = records.places
    places = Places(at["vertical angles"], at["candela"], at["lumens per lamp"], header.keywords_at)
    check_intensities(distribution, rated, header.keywords, log, places)
    return PhotometricFile(
        format="LM-63", edition=header.edition, distribution=distribution, opening=opening, keywords=header.keywords,
        symmetry=symmetry, factors=factors, lamps=records.lamps, rated_flux_lm=rated, input_watts=watts,
        warnings=tuple(log.warnings), tilt=tilt, generation=generation,
    )  # fmt: skip


def _distribution(header: Header, records: Records, candela: Array, log: FaultLog) -> tuple[IntensityDistribution, str]:
    def warn(code: int, sentence: str) -> None:
        log.warn(code, sentence, records.places["vertical angles" if code == 39 else "horizontal angles"])

    try:
        h, v, unfolded, symmetry = unfold(records.kind, records.h, records.v, candela, warn)
    except Refused as refused:
        raise log.error(refused.code, refused.problem, records.places[refused.key], key=refused.key,
                        accepted=refused.accepted) from None  # fmt: skip
    if symmetry == SIDEWAYS and header.edition != "1995":
        belongs = f"do not belong to the edition of {header.edition}, read as in that of 1995"
        warn(36, f"horizontal angles from 90 to 270 {belongs}")
    unfolded.flags.writeable = False
    return IntensityDistribution(records.kind, h, v, unfolded), symmetry


def _tilt_of_file(header: Header, neighbour: Neighbour | None, log: FaultLog) -> TiltTable | None:
    if header.edition == "2019":
        log.warn(6, "the edition of 2019 has no tilt files", header.tilt_at)
    return read_tilt_file(header.tilt, neighbour, log, header.tilt_at)


def _positioned(tilt: TiltTable | None, header: Header, log: FaultLog) -> TiltTable | None:
    """The table with the position of the lamp that a keyword states."""
    keys = [key for key, _ in header.keywords]
    if "LAMPPOSITION" not in keys:
        return tilt
    position = lamp_position(header.keywords)
    if position is None:
        at = header.keywords_at[keys.index("LAMPPOSITION")]
        log.warn(108, "the keyword LAMPPOSITION does not hold an angle from 0 to 360 and one from 0 to 180", at)
    return None if tilt is None else replace(tilt, lamp_position_deg=position)


def _factors(header: Header, records: Records, log: FaultLog) -> tuple[tuple[str, float], ...]:
    """Name and value of every factor that scales the intensities in this edition."""
    found = [("multiplier", records.multiplier), ("ballast factor", records.ballast)]
    at = {name: records.places[name] for name, _ in found}
    if header.edition in ("1986", "1991"):
        found.append(("ballast-lamp factor", records.lamp_factor))
        at["ballast-lamp factor"] = records.places["field 12"]
    _check_field_12(header, records, log)
    for key, value in found:
        if value < 0.0:
            raise log.error(61, "is negative", at[key], key=key, value=f"{value:g}", accepted="give a factor from 0 up")
        if value == 0.0:
            log.warn(61, f"the {key} is 0: the lamp is dark", at[key])
    return tuple(found)


def _check_field_12(header: Header, records: Records, log: FaultLog) -> None:
    value, at = records.lamp_factor, records.places["field 12"]
    if header.guessed and value != 1.0:
        log.warn(3, f"the ballast-lamp factor {value:g} of the edition of 1986 was applied", at)
    if value != 1.0 and header.edition in ("1995", "2002"):
        log.warn(12, f"field 12 is {records.field_12}; it scales nothing in the edition of {header.edition}", at)


def _generation(header: Header, records: Records, log: FaultLog) -> Generation | None:
    if header.edition != "2019":
        return None
    found = generation_of(records.field_12)
    if found is None:
        told = f"field 12 is {records.field_12[:40]}, which is no file generation type of the edition of 2019"
        log.warn(109, f"{told}: how the file came about is undefined", records.places["field 12"])
    return found or Generation(records.field_12, ("undefined",))


def _rated_flux(records: Records, log: FaultLog) -> float | None:
    """Rated flux of all lamps [lm]; None with absolute photometry."""
    if abs(records.lamps) > MOST_LAMPS or abs(records.lamps) * records.lumens > _LARGEST_FLUX_LM:
        raise log.error(22, "are too large", records.places["number of lamps"], key="number and lumens of lamps",
                        value=f"{records.lamps:g} x {records.lumens:g} lm",
                        accepted=f"give at most {MOST_LAMPS} lamps and {_LARGEST_FLUX_LM:g} lm in all")  # fmt: skip
    if records.lumens < 0.0:
        if records.lumens != -1.0:
            told = f"lumens per lamp are {records.lumens:g}, read as -1, absolute photometry"
            log.warn(8, told, records.places["lumens per lamp"])
        return None
    if records.lamps < 1:
        log.warn(104, f"the number of lamps is {records.lamps:g}", records.places["number of lamps"])
    return max(records.lamps, 0) * records.lumens


def _opening(header: Header, records: Records, log: FaultLog) -> Opening:
    if records.units not in _UNITS_M:
        told = f"units are {records.units:g}, neither feet (1) nor metres (2): the size of the opening is unknown"
        log.warn(48, told, records.places["units"])
        return Opening()
    opening, sentence = read_opening(header.edition, *records.sizes, _UNITS_M[records.units])
    if sentence:
        log.warn(50, sentence, records.places["width"])
    if max(opening.size_m) > LARGEST_SIZE_M:
        raise log.error(105, "is no size of a lamp", records.places["width"], key="luminous opening",
                        value=f"{max(opening.size_m):g} m",
                        accepted="give feet (units 1) or metres (units 2)")  # fmt: skip
    if max(opening.size_m) > USUAL_SIZE_M:
        told = f"the luminous opening is {max(opening.size_m):g} m large: check its unit"
        log.warn(105, told, records.places["width"])
    return opening


def _watts(records: Records, log: FaultLog) -> float:
    if records.watts < 0.0:
        log.warn(106, f"the input watts are {records.watts:g}, read as 0, not stated", records.places["input watts"])
    return max(records.watts, 0.0)
