"""Which format a photometric file has, told by its content, and the one reader for all of them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import get_args

from scenelux.photometry.eulumdat.look import looks_like_eulumdat
from scenelux.photometry.eulumdat.read import read_eulumdat
from scenelux.photometry.faults import FaultLog, FileWarning
from scenelux.photometry.file import Basis, Format, PhotometricFile
from scenelux.photometry.hv.read import REQUIRED_MINIMUM, looks_like_hv_table, read_hv_table
from scenelux.photometry.keywords import BASIS
from scenelux.photometry.lm63.read import read_lm63
from scenelux.photometry.lm63.text import looks_like_lm63
from scenelux.photometry.text import check_size, plain_bytes
from scenelux.photometry.tm33.read import looks_like_tm33, read_tm33

__all__ = ["Neighbour", "format_of", "read_photometric", "with_basis"]

Neighbour = Callable[[str], bytes | None]
"""Gives the bytes of a file of this name beside the one that is read, or None."""

_ACCEPTED = "give an LM-63, EULUMDAT or TM-33 file, or a table of test points"


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
    if looks_like_tm33(data):
        return "TM-33"
    text = plain_bytes(data, log, _ACCEPTED)
    if looks_like_lm63(text):
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
    file = _read(data, name, neighbour, part)
    stated = file.text(BASIS)
    return with_basis(file, stated) if stated in get_args(Basis) else file  # type: ignore[arg-type]


def _read(data: bytes, name: str, neighbour: Neighbour | None, part: int) -> PhotometricFile:
    kind = format_of(data, name)
    if kind == "EULUMDAT":
        return read_eulumdat(data, name, lamp_set=part)
    if kind == "TM-33":
        return read_tm33(data, name, emitter=part)
    if part != 1:
        problem = f"has no part {part}: a file of the format {kind} is one lamp"
        raise FaultLog(name).error(59, problem, accepted="leave the number out")
    return read_lm63(data, name, neighbour=neighbour) if kind == "LM-63" else read_hv_table(data, name)


def with_basis(file: PhotometricFile, basis: Basis) -> PhotometricFile:
    """The file with the basis that is stated for it beside its values, and the warning that required ones carry.

    Parameters
    ----------
    file : as read; one that states its own basis stays as it is.
    basis : from a keyword that another format carries, or from a card.
    """
    if file.basis is not None:
        return file
    required = (FileWarning(163, None, REQUIRED_MINIMUM),) if basis == "required minimum" else ()
    return replace(file, basis=basis, warnings=(*file.warnings, *required))
