"""Which format a photometric file has, told by its content, and the one reader for all of them."""

from __future__ import annotations

import re
from collections.abc import Callable

from scenelux.photometry.eulumdat.look import looks_like_eulumdat
from scenelux.photometry.faults import FaultLog
from scenelux.photometry.file import Format, PhotometricFile
from scenelux.photometry.hv.read import looks_like_hv_table, read_hv_table
from scenelux.photometry.lm63.read import read_lm63
from scenelux.photometry.text import check_size, plain_bytes

__all__ = ["Neighbour", "format_of", "read_photometric"]

Neighbour = Callable[[str], bytes | None]
"""Gives the bytes of a file of this name beside the one that is read, or None."""

_TILT = re.compile(rb"(?:\A|[\r\n])[ \t]*TILT[ \t]*=", re.IGNORECASE)
_IDENTIFIER = re.compile(rb"\s*IES(?:NA)?\s*:?\s*(?:LM|91)", re.IGNORECASE)
_ACCEPTED = "give an LM-63, EULUMDAT or TM-33 file, or a table of test points"


def _looks_like_xml(data: bytes) -> bool:
    return data.replace(b"\0", b"").lstrip(b"\xff\xfe\xef\xbb\xbf \t\r\n")[:1] == b"<"


def format_of(data: bytes, name: str = "") -> Format:
    """The format of a file, by its content and never by its name.

    Parameters
    ----------
    data : the bytes of the file.
    name : of the file, for messages.

    Example
    -------
    >>> format_of(b"IESNA91 TILT=NONE".replace(b" ", bytes([10])))
    'LM-63'
    """
    log = FaultLog(name)
    check_size(data, log)
    if _looks_like_xml(data):
        return "TM-33"
    text = plain_bytes(data, log, _ACCEPTED)
    if _TILT.search(text) or _IDENTIFIER.match(text):
        return "LM-63"
    if looks_like_eulumdat(text):
        return "EULUMDAT"
    if looks_like_hv_table(text):
        return "H-V table"
    raise log.error(59, "is of no known format", accepted=_ACCEPTED)


def read_photometric(
    data: bytes, name: str = "", *, neighbour: Neighbour | None = None, part: int = 1
) -> PhotometricFile:
    """Reads a photometric file of any format.

    Parameters
    ----------
    data : the bytes of the file, at most 32 MB and 4 million intensities.
    name : of the file, for messages.
    neighbour : finds the tilt file that an LM-63 file may name.
    part : lamp set of an EULUMDAT file, emitter of a TM-33 file, counted from 1.
    """
    kind = format_of(data, name)
    if kind == "EULUMDAT":
        from scenelux.photometry.eulumdat.read import read_eulumdat

        return read_eulumdat(data, name, lamp_set=part)
    if kind == "TM-33":
        from scenelux.photometry.tm33.read import read_tm33

        return read_tm33(data, name, emitter=part)
    if part != 1:
        raise FaultLog(name).error(59, f"has no part {part}: {kind} files have one", accepted="leave the number out")
    return read_lm63(data, name, neighbour=neighbour) if kind == "LM-63" else read_hv_table(data, name)
