"""Reads LM-63 files, today those without a tilt table: text, numbers, factors, symmetry, and what is odd about them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import prod

import numpy as np
from numpy.typing import NDArray

from scenelux.errors import PhotometricError
from scenelux.photometry.directions import PhotometricType
from scenelux.photometry.distribution import IntensityDistribution, Opening
from scenelux.photometry.faults import FaultLog
from scenelux.photometry.file import PhotometricFile
from scenelux.photometry.intensities import check_intensities, clean_intensities
from scenelux.photometry.lm63.numbers import NumberStream, with_decimal_points
from scenelux.photometry.lm63.openings import FOOT_M, Edition, read_opening
from scenelux.photometry.lm63.text import Header, read_header
from scenelux.photometry.symmetry import SIDEWAYS, Refused, unfold
from scenelux.photometry.text import plain_bytes

__all__ = ["GRID_LIMIT", "read_lm63"]

Array = NDArray[np.float64]

GRID_LIMIT = 4_000_000
"""Most intensities in one file."""

LEAST_STEP_DEG = 1e-7
"""Angles nearer to each other count as one."""

_TYPES: dict[int, PhotometricType] = {1: "C", 2: "B", 3: "A"}
_UNITS_M = {1: FOOT_M, 2: 1.0}


@dataclass(frozen=True, eq=False)
class _Records:
    """The numbers of a file as written."""

    lamps: int
    lumens: float
    multiplier: float
    kind: PhotometricType
    units: int
    sizes: tuple[float, float, float]
    ballast: float
    field_12: str
    watts: float
    v: Array
    h: Array
    candela: Array
    places: dict[str, int]


def read_lm63(data: bytes, name: str = "") -> PhotometricFile:
    """Reads an LM-63 file of any edition without a tilt table.

    Parameters
    ----------
    data : the bytes of the file, at most 32 MB and 4 million intensities.
    name : of the file, for messages.

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
    records = _records(body, header, log)
    return _assemble(header, records, log)


def _records(body: bytes, header: Header, log: FaultLog) -> _Records:
    """The numbers, with the comma as a delimiter, or else as a decimal point when that fits the counts exactly."""
    first = replace(log, warnings=[])
    try:
        records = _read_records(body, header, first)
    except PhotometricError as error:
        pointed = with_decimal_points(body, header.numbers_at)
        if pointed is None:
            raise
        first = replace(log, warnings=[])
        try:
            records = _read_records(pointed, header, first)
        except PhotometricError:
            error.accepted = "; ".join(
                part for part in (error.accepted, "numbers take a decimal point, a comma separates them") if part
            )
            raise error from None
        log.warn(19, "numbers are written with decimal commas, read as decimal points", header.numbers_at)
    log.warnings += first.warnings
    return records


def _read_records(body: bytes, header: Header, log: FaultLog) -> _Records:
    stream = NumberStream(body, header.numbers_at, log)
    lamps, lumens = stream.whole("number of lamps"), stream.real("lumens per lamp")
    multiplier, counts_at = stream.real("multiplier"), stream.offset()
    count_v, count_h = stream.whole("number of vertical angles"), stream.whole("number of horizontal angles")
    type_at, kind = stream.offset(), stream.whole("photometric type")
    if kind not in _TYPES:
        raise log.error(46, "is not a photometric type", type_at, key="photometric type", value=kind,
                        accepted="give 1 for C, 2 for B or 3 for A")  # fmt: skip
    units = stream.whole("units")
    sizes = (stream.real("width"), stream.real("length"), stream.real("height"))
    ballast, field_12 = stream.real("ballast factor"), stream.peek().decode("ascii", errors="replace")
    stream.real("field 12")
    watts = stream.real("input watts")
    _check_counts(count_v, count_h, stream.left, counts_at, stream.offset(), log)
    places = {"numbers": stream.offset(0), "vertical angles": stream.offset()}
    v = _ascending(stream, "vertical angles", count_v, log)
    places["horizontal angles"] = stream.offset()
    h = _ascending(stream, "horizontal angles", count_h, log)
    places["candela"] = stream.offset()
    candela = stream.reals("candela", count_v * count_h).reshape(count_h, count_v)
    _check_lines(stream, count_v, count_h, log)
    _check_rest(body, stream, log)
    return _Records(
        lamps, lumens, multiplier, _TYPES[kind], units, sizes, ballast, field_12, watts, v, h, candela, places
    )


def _check_counts(count_v: int, count_h: int, left: int, counts_at: int, end: int, log: FaultLog) -> None:
    """Refuses absurd counts before anything is allocated."""
    if count_v < 2 or count_h < 1 or count_v * count_h > GRID_LIMIT:
        raise log.error(57, f"are {count_v} vertical and {count_h} horizontal", counts_at, key="numbers of angles",
                        accepted="give 2 or more vertical, 1 or more horizontal, at most 4 million in all")  # fmt: skip
    needed = count_v + count_h + count_v * count_h
    if needed > left:
        raise log.error(24, f"are too few: expected {needed}, found {left}", end, key="angles and candelas",
                        accepted=f"{count_v} vertical and {count_h} horizontal angles were announced")  # fmt: skip


def _ascending(stream: NumberStream, key: str, count: int, log: FaultLog) -> Array:
    first = stream.position
    values = stream.reals(key, count)
    wrong = np.flatnonzero(np.diff(values) <= LEAST_STEP_DEG)
    if wrong.size:
        at = first + int(wrong[0]) + 1
        raise log.error(45, "are not ascending", stream.offset(at), key=key, value=stream.peek(at).decode("ascii"))
    return values


def _check_lines(stream: NumberStream, count_v: int, count_h: int, log: FaultLog) -> None:
    """Each record and each row of candelas begins on a line of its own."""
    rows = 13 + count_v + count_h
    begins = np.concatenate(((10, 13, 13 + count_v), np.arange(rows, rows + count_v * count_h, count_v)))
    at = stream.first_inside_line(begins.astype(np.int64))
    if at is not None:
        log.warn(15, "a record begins in the middle of a line", stream.offset(at))


def _check_rest(body: bytes, stream: NumberStream, log: FaultLog) -> None:
    """What follows the last candela: nothing, or words; never numbers."""
    rest, offset = stream.peek(), stream.offset()
    if not rest:
        return
    if rest.upper().startswith((b"[BLOCK", b"[ENDBLOCK")):
        log.warn(56, "the file holds several luminaires, only the first is read", offset)
    elif rest[:1] in b"0123456789+-.":
        raise log.error(25, f"are left over: {stream.left} after the last candela", offset, key="numbers",
                        accepted="check the numbers of angles")  # fmt: skip
    else:
        log.warn(26, "text follows the last candela and is left out", offset)


def _assemble(header: Header, records: _Records, log: FaultLog) -> PhotometricFile:
    factors = _factors(header.edition, records, log)
    candela = clean_intensities(records.candela, prod(value for _, value in factors), log, records.places["candela"])

    def warn(code: int, sentence: str) -> None:
        log.warn(code, sentence, records.places["vertical angles" if code == 39 else "horizontal angles"])

    try:
        h, v, candela, symmetry = unfold(records.kind, records.h, records.v, candela, warn)
    except Refused as refused:
        raise log.error(refused.code, refused.problem, records.places[refused.key], key=refused.key,
                        accepted=refused.accepted) from None  # fmt: skip
    if symmetry == SIDEWAYS and header.edition != "1995":
        belongs = f"do not belong to the edition of {header.edition}, read as in that of 1995"
        warn(36, f"horizontal angles from 90 to 270 {belongs}")
    distribution = IntensityDistribution(records.kind, h, v, candela)
    rated = None if _is_absolute(records, log) else records.lamps * records.lumens
    opening = _opening(header.edition, records, log)
    check_intensities(distribution, rated, header.keywords, log)
    return PhotometricFile(
        format="LM-63", edition=header.edition, distribution=distribution, opening=opening, keywords=header.keywords,
        symmetry=symmetry, factors=factors, lamps=records.lamps, rated_flux_lm=rated, input_watts=records.watts,
        warnings=tuple(log.warnings),
    )  # fmt: skip


def _ballast_lamp_factor(edition: Edition, records: _Records, log: FaultLog) -> float:
    value = float(records.field_12.lower().replace("d", "e").replace(",", "."))
    if edition in ("1986", "1991"):
        if value != 1.0 and any(warning.code == 3 for warning in log.warnings):
            log.warn(3, f"the ballast-lamp factor {value:g} of the edition of 1986 was applied")
        return value
    if value != 1.0 and edition in ("1995", "2002"):
        log.warn(12, f"field 12 is {records.field_12}; it scales nothing in the edition of {edition}")
    return 1.0


def _factors(edition: Edition, records: _Records, log: FaultLog) -> tuple[tuple[str, float], ...]:
    """Name and value of every factor that scales the intensities in this edition."""
    lamp_factor = _ballast_lamp_factor(edition, records, log)
    found = [("multiplier", records.multiplier), ("ballast factor", records.ballast)]
    found += [("ballast-lamp factor", lamp_factor)] if edition in ("1986", "1991") else []
    for key, value in found:
        if value < 0.0:
            raise log.error(61, "is negative", records.places["numbers"], key=key, value=value)
        if value == 0.0:
            log.warn(61, f"the {key} is 0: the lamp is dark")
    return tuple(found)


def _is_absolute(records: _Records, log: FaultLog) -> bool:
    if records.lumens < 0.0 and records.lumens != -1.0:
        log.warn(8, f"lumens per lamp are {records.lumens:g}, read as -1, absolute photometry")
    if records.lumens >= 0.0 and records.lamps < 1:
        log.warn(104, f"the number of lamps is {records.lamps}")
    return records.lumens < 0.0


def _opening(edition: Edition, records: _Records, log: FaultLog) -> Opening:
    if records.units not in _UNITS_M:
        log.warn(48, f"units are {records.units}, neither feet (1) nor metres (2): the size of the opening is unknown")
        return Opening()
    opening, sentence = read_opening(edition, *records.sizes, _UNITS_M[records.units])
    if sentence:
        log.warn(50, sentence)
    return opening
