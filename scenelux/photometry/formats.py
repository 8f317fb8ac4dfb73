"""Which format a photometric file has, told by its content, and the one reader for all of them."""

from __future__ import annotations

import re
from collections.abc import Callable

from scenelux.photometry.faults import FaultLog
from scenelux.photometry.file import Format, PhotometricFile
from scenelux.photometry.lm63.read import read_lm63
from scenelux.photometry.text import check_size, plain_bytes

__all__ = ["Neighbour", "format_of", "read_photometric"]

Neighbour = Callable[[str], bytes | None]
"""Gives the bytes of a file of this name beside the one that is read, or None."""

_TILT = re.compile(rb"(?:\A|[\r\n])[ \t]*TILT[ \t]*=", re.IGNORECASE)
_ACCEPTED = "give an LM-63, EULUMDAT or TM-33 file"


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
    text = plain_bytes(data, log, _ACCEPTED)
    if _TILT.search(text):
        return "LM-63"
    raise log.error(59, "is of no known format", accepted=_ACCEPTED)


def read_photometric(data: bytes, name: str = "", *, neighbour: Neighbour | None = None) -> PhotometricFile:
    """Reads a photometric file of any format.

    Parameters
    ----------
    data : the bytes of the file, at most 32 MB and 4 million intensities.
    name : of the file, for messages.
    neighbour : finds the tilt file that an LM-63 file may name.
    """
    readers = {"LM-63": read_lm63}
    return readers[format_of(data, name)](data, name)
