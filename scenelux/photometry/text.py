"""Bytes of a photometric file as one-byte or UTF-8 text, and the words of its header as letters."""

from __future__ import annotations

import re

from scenelux.errors import LimitError
from scenelux.names import LARGEST_PHOTOMETRIC_BYTES
from scenelux.photometry.faults import FaultLog

__all__ = ["NUMBER", "PLAIN_NUMBER", "check_size", "decoded", "plain_bytes"]

PLAIN_NUMBER = re.compile(rb"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)")
"""A number of every photometric format: digits with a decimal point, nothing else."""

NUMBER = re.compile(PLAIN_NUMBER.pattern + rb"(?:[eEdD][+-]?[0-9]+)?")
"""The same with the exponent that some programs write."""


def plain_bytes(data: bytes, log: FaultLog, accepted: str = "give an LM-63, EULUMDAT or TM-33 file") -> bytes:
    """The text of a file without its byte order mark, UTF-16 turned into UTF-8; other than text is refused.

    Parameters
    ----------
    data : the file.
    log : takes the warnings.
    accepted : for the message of a file that is no text.
    """
    check_size(data, log)
    if not data.strip(b"\0\x1a \t\r\n"):
        raise log.error(59, "is an empty file", accepted=accepted)
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        log.warn(30, "the file is UTF-16 text")
        return data.decode("utf-16", errors="replace").encode("utf-8", errors="replace")
    if data[:3] == b"\xef\xbb\xbf":
        log.warn(28, "the file begins with a byte order mark")
        data = data[3:]
    start = data[:400]
    if max(start[0::2].count(0), start[1::2].count(0)) > 0.3 * len(start[0::2]):
        raise log.error(30, "looks like UTF-16 text without its byte order mark", accepted="save it as plain text")
    if b"\0" in data.rstrip(b"\0\x1a \t\r\n") or data[:4] in (b"%PDF", b"PK\x03\x04", b"\x89PNG"):
        raise log.error(59, "looks like a binary file", accepted=accepted)
    return data


def check_size(data: bytes, log: FaultLog) -> None:
    """Refuses a file that is too large."""
    if len(data) > LARGEST_PHOTOMETRIC_BYTES:
        raise LimitError(
            f"is a file of {len(data) / 1e6:.1f} MB", file=log.file or None,
            accepted=f"photometric files have at most {LARGEST_PHOTOMETRIC_BYTES / 1e6:.0f} MB",
        )  # fmt: skip


def decoded(text: bytes) -> tuple[str, str]:
    """Letters of a text, UTF-8 or else the Western code page of the time, and the name of which.

    Example
    -------
    >>> decoded(bytes((0x36, 0x30, 0xb0)))
    ('60°', 'Windows-1252')
    """
    try:
        return text.decode("utf-8"), "UTF-8"
    except UnicodeDecodeError:
        return text.decode("cp1252", errors="replace"), "Windows-1252"
