"""Reads the TILT table of an LM-63 file, from the file itself or from the tilt file that it names."""

from __future__ import annotations

import re
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from scenelux.photometry.digits import FIGURE
from scenelux.photometry.faults import FaultLog
from scenelux.photometry.lm63.numbers import NumberStream, as_delimiters_or_points, shown
from scenelux.photometry.symmetry import LEAST_STEP_DEG
from scenelux.photometry.text import plain_bytes
from scenelux.photometry.tilt import LARGEST_FACTOR, MOST_TILTS, TiltTable

__all__ = ["ascending", "lamp_position", "read_tilt_file", "read_tilt_record"]

Array = NDArray[np.float64]

_LARGEST_TILT_FILE_BYTES = 1_000_000
_FOLDER = re.compile(r"[/\\:\0]|^\.*$")
_POSITION = re.compile(rf"\s*([+-]?{FIGURE})(?:\s*,\s*|\s+)([+-]?{FIGURE})\s*")


def read_tilt_record(stream: NumberStream, log: FaultLog) -> TiltTable:
    """Takes lamp geometry, number of pairs, angles and factors.

    Parameters
    ----------
    stream : its next number is the lamp geometry.
    log : takes the warnings and words the errors.

    Source
    ------
    ANSI/IESNA LM-63-2002, Annex F.
    """
    geometry_at, geometry = stream.offset(), stream.whole("TILT lamp geometry")
    if geometry not in (1, 2, 3):
        raise log.error(107, "is not a lamp geometry", geometry_at, key="TILT lamp geometry", value=f"{geometry:g}",
                        accepted="give 1, 2 or 3")  # fmt: skip
    count_at, count = stream.offset(), stream.whole("number of TILT angles")
    if not 1 <= count <= MOST_TILTS:
        raise log.error(57, f"is {count:g}", count_at, key="number of TILT angles", accepted=f"give 1 to {MOST_TILTS}")
    angles_at, first = stream.offset(), stream.position
    angles = ascending(stream, "TILT angles", count, log)
    _check_end(stream, "TILT angles", first, count, log)
    factors_at, first = stream.offset(), stream.position
    factors = stream.reals("TILT factors", count)
    _check_end(stream, "TILT factors", first, count, log)
    _check_ranges(angles, angles_at, factors, factors_at, log)
    return TiltTable(geometry, tuple(angles.tolist()), tuple(factors.tolist()))


def _check_ranges(angles: Array, angles_at: int, factors: Array, factors_at: int, log: FaultLog) -> None:
    if factors.min() < 0.0:
        raise log.error(61, "are negative", factors_at, key="TILT factors", value=f"{factors.min():g}",
                        accepted="give factors from 0 up")  # fmt: skip
    if factors.max() > LARGEST_FACTOR:
        raise log.error(22, "are too large", factors_at, key="TILT factors", value=f"{factors.max():g}",
                        accepted=f"give factors up to {LARGEST_FACTOR:g}")  # fmt: skip
    covered = f"from {angles[0]:g} to {angles[-1]:g} deg"
    if angles[0] < 0.0 or angles[-1] > 180.0:
        raise log.error(107, f"run {covered}", angles_at, key="TILT angles", accepted="give angles from 0 to 90 or 180")
    if angles[0] != 0.0 or angles[-1] not in (90.0, 180.0):
        told = f"the TILT angles run {covered}, not from 0 to 90 or 180"
        log.warn(107, f"{told}: outside no factor is known", angles_at)


def ascending(stream: NumberStream, key: str, count: int, log: FaultLog) -> Array:
    """Takes a list of angles, each larger than the one before.

    Parameters
    ----------
    stream : its next number is the first angle.
    key : what the list is called.
    count : how many angles it has.
    log : words the errors.
    """
    first = stream.position
    values = stream.reals(key, count)
    wrong = np.flatnonzero(np.diff(values) <= LEAST_STEP_DEG)
    if wrong.size:
        at = first + int(wrong[0]) + 1
        told = f"are not ascending: {shown(stream.peek(at))} follows {shown(stream.peek(at - 1))}"
        raise log.error(45, told, stream.offset(at), key=key, accepted="give each angle once, from low to high")
    return values


def _check_end(stream: NumberStream, key: str, first: int, count: int, log: FaultLog) -> None:
    """After the last number of a TILT list the line must end: a short list would swallow what follows it."""
    if stream.begins_line():
        return
    wanted = f"the TILT record announces {count} and its line must end after them"
    last_line = next(at for at in range(stream.position - 1, first - 1, -1) if at == first or stream.begins_line(at))
    if last_line > first:
        problem = f"end after {last_line - first} of {count} numbers"
        raise log.error(7, problem, stream.offset(first), key=key, accepted=wanted)
    raise log.error(15, "go on in the same line", stream.offset(), key=key, value=shown(stream.peek()), accepted=wanted)


def read_tilt_file(
    name: str, neighbour: Callable[[str], bytes | None] | None, log: FaultLog, offset: int
) -> TiltTable | None:
    """The table of a tilt file that lies beside the photometric file; None, with a warning, when it is not there.

    Parameters
    ----------
    name : as the TILT line gives it; a name with a folder is not looked for.
    neighbour : finds the file.
    log : takes the warnings.
    offset : of the TILT line.

    Source
    ------
    ANSI/IESNA LM-63-2002, clause 5.3 and Annex E.
    """
    plain = neighbour is not None and len(name) <= 255 and not _FOLDER.search(name)
    data = neighbour(name) if plain and neighbour is not None else None
    if data is None:
        where = "is not beside it" if plain or neighbour is None else "is not a plain file name and is not looked for"
        log.warn(6, f'the file names the tilt file "{name[:80]}", which {where}: its factor is taken as 1', offset)
        return None
    inner = FaultLog(name)
    if len(data) > _LARGEST_TILT_FILE_BYTES:
        raise inner.error(57, "is a tilt file of more than 1 MB", accepted="a tilt file holds a few numbers")
    inner.body = plain_bytes(data, inner, "give a tilt file of LM-63")
    table = as_delimiters_or_points(inner.body, 0, inner, _read_whole)
    for one in inner.warnings:
        log.warn(one.code, f"in the tilt file {name}, line {one.line}: {one.sentence}", offset)
    return table


def _read_whole(body: bytes, log: FaultLog) -> TiltTable:
    stream = NumberStream(body, 0, log)
    table = read_tilt_record(stream, log)
    if stream.left and stream.peek()[:1] in b"0123456789+-.":
        raise log.error(25, f"are left over: {stream.left} after the last factor", stream.offset(), key="numbers",
                        accepted="check the number of TILT angles")  # fmt: skip
    if stream.left:
        log.warn(26, "text follows the last factor and is left out", stream.offset())
    return table


def lamp_position(keywords: tuple[tuple[str, str], ...]) -> tuple[float, float] | None:
    """The angles (h, v) of the keyword LAMPPOSITION [deg]; None where it is missing or is no such pair.

    Parameters
    ----------
    keywords : of the file.

    Example
    -------
    >>> lamp_position((("LAMPPOSITION", "0,90"),))
    (0.0, 90.0)
    """
    for key, text in keywords:
        match = _POSITION.fullmatch(text[:100]) if key == "LAMPPOSITION" else None
        if match and 0.0 <= (h := float(match[1])) <= 360.0 and 0.0 <= (v := float(match[2])) <= 180.0:
            return h, v
    return None
