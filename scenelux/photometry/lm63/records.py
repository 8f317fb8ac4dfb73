"""The numbers of an LM-63 file as written: tilt table, the two records of the lamp, angles and candelas."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import chain

import numpy as np
from numpy.typing import NDArray

from scenelux.photometry.directions import PhotometricType
from scenelux.photometry.faults import FaultLog
from scenelux.photometry.limits import GRID_LIMIT, LARGEST_NUMBER
from scenelux.photometry.lm63.numbers import NumberStream, shown
from scenelux.photometry.lm63.tilt_record import ascending, read_tilt_record
from scenelux.photometry.tilt import TiltTable

__all__ = ["ANGLE_LIMIT", "Records", "read_records"]

Array = NDArray[np.float64]

ANGLE_LIMIT = 100_000
"""Most angles in one of the two lists."""

_TYPES: dict[int, PhotometricType] = {1: "C", 2: "B", 3: "A"}


@dataclass(frozen=True, eq=False)
class Records:
    """The numbers of a file but for the candelas, and the offset of each record in the text."""

    lamps: int
    lumens: float
    multiplier: float
    kind: PhotometricType
    units: int
    sizes: tuple[float, float, float]
    ballast: float
    field_12: str
    lamp_factor: float
    watts: float
    v: Array
    h: Array
    tilt: TiltTable | None
    places: Mapping[str, int]


def read_records(body: bytes, start: int, tilted: bool, log: FaultLog) -> tuple[Records, Array]:
    """All numbers of a file, and the candelas (nH, nV) as written.

    Parameters
    ----------
    body : the text as bytes.
    start : where the numbers begin.
    tilted : whether a tilt table comes first.
    log : takes the warnings and words the errors.

    Source
    ------
    ANSI/IESNA LM-63-2002, clauses 5.4 to 5.19 and 6; other editions as described by implementers.
    """
    stream = NumberStream(body, start, log)
    places: dict[str, int] = {}
    begins = _tilt_begins(stream) if tilted else []
    tilt = read_tilt_record(stream, log) if tilted else None
    begins.append(stream.position)

    def whole(key: str) -> int:
        places[key] = stream.offset()
        return stream.whole(key)

    def real(key: str) -> float:
        places[key], token = stream.offset(), stream.peek()
        value = stream.real(key)
        if abs(value) > LARGEST_NUMBER:
            raise log.error(22, "is too large", places[key], key=key, value=shown(token),
                            accepted=f"give at most {LARGEST_NUMBER:g}")  # fmt: skip
        return value

    lamps, lumens, multiplier = whole("number of lamps"), real("lumens per lamp"), real("multiplier")
    count_v, count_h = whole("number of vertical angles"), whole("number of horizontal angles")
    kind = _kind(whole("photometric type"), places["photometric type"], log)
    units, sizes = whole("units"), (real("width"), real("length"), real("height"))
    begins.append(stream.position)
    ballast, field_12 = real("ballast factor"), stream.peek().decode("ascii", errors="replace")
    lamp_factor, watts = real("field 12"), real("input watts")
    _check_counts(count_v, count_h, stream.left, places["number of vertical angles"], stream.offset(), log)
    begins += [stream.position, stream.position + count_v]
    places["vertical angles"] = stream.offset()
    v = ascending(stream, "vertical angles", count_v, log)
    places["horizontal angles"] = stream.offset()
    h = ascending(stream, "horizontal angles", count_h, log)
    places["candela"], rows = stream.offset(), stream.position
    candela = stream.reals("candela", count_v * count_h).reshape(count_h, count_v)
    _check_lines(stream, chain(begins, range(rows, stream.position, count_v)), log)
    _check_rest(body, stream, log)
    found = Records(
        lamps, lumens, multiplier, kind, units, sizes, ballast, field_12, lamp_factor, watts, v, h, tilt, places
    )
    return found, candela


def _tilt_begins(stream: NumberStream) -> list[int]:
    """Which tokens of a tilt table begin a line; the ends of its lists are looked at where they are read."""
    return [stream.position, stream.position + 1, stream.position + 2]


def _kind(code: int, offset: int, log: FaultLog) -> PhotometricType:
    if code not in _TYPES:
        raise log.error(46, "is none of the photometric types", offset, key="photometric type", value=f"{code:g}",
                        accepted="give 1 for C, 2 for B or 3 for A")  # fmt: skip
    return _TYPES[code]


def _check_counts(count_v: int, count_h: int, left: int, counts_at: int, end: int, log: FaultLog) -> None:
    """Refuses absurd counts before anything is allocated."""
    many = count_v * count_h > GRID_LIMIT or max(count_v, count_h) > ANGLE_LIMIT
    if count_v < 2 or count_h < 1 or many:
        wanted = "give 2 or more vertical and 1 or more horizontal, at most 100000 of each and 4 million in all"
        raise log.error(57, f"are {_count(count_v)} vertical and {_count(count_h)} horizontal", counts_at,
                        key="numbers of angles", accepted=wanted)  # fmt: skip
    needed = count_v + count_h + count_v * count_h
    if needed > left:
        raise log.error(24, f"are too few: expected {needed}, found {left}", end, key="angles and candelas",
                        accepted=f"{count_v} vertical and {count_h} horizontal angles were announced")  # fmt: skip


def _count(count: int) -> str:
    return str(count) if abs(count) < 10**9 else f"{count:g}"


def _check_lines(stream: NumberStream, begins: chain[int], log: FaultLog) -> None:
    """Each record and each row of candelas begins on a line of its own."""
    at = stream.first_inside_line(begins)
    if at is not None:
        log.warn(15, "a record begins in the middle of a line", stream.offset(at))


def _check_rest(body: bytes, stream: NumberStream, log: FaultLog) -> None:
    """What follows the last candela: nothing, or words; never numbers or another luminaire that nothing announces."""
    rest, offset = stream.peek(), stream.offset()
    if not rest:
        return
    another = body.find(b"TILT=", offset) >= 0
    if rest.upper().startswith((b"[BLOCK", b"[ENDBLOCK")):
        if another or rest.upper().startswith(b"[BLOCK"):
            log.warn(56, "the file holds several luminaires, only the first is read", offset)
    elif rest[:1] in b"0123456789+-.":
        raise log.error(25, f"are left over: {stream.left} after the last candela", offset, key="numbers",
                        accepted="check the numbers of angles")  # fmt: skip
    elif another:
        raise log.error(56, "holds several luminaires that no block keyword separates", offset,
                        accepted="give one file for each luminaire")  # fmt: skip
    else:
        log.warn(26, "text follows the last candela and is left out", offset)
