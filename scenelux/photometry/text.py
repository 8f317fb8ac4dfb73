"""Bytes of a photometric file as one-byte or UTF-8 text, and the words of its header as letters."""

from __future__ import annotations

import codecs
import re

from scenelux.errors import LimitError
from scenelux.names import LARGEST_PHOTOMETRIC_BYTES
from scenelux.photometry.faults import FaultLog

__all__ = ["check_size", "decoded", "plain_bytes"]

_SOMETHING = re.compile(rb"[^\0\x1a \t\r\n]")
_BLOCK = 1 << 20


def plain_bytes(data: bytes, log: FaultLog, accepted: str = "give an LM-63, EULUMDAT or TM-33 file") -> bytes:
    """The text of a file without its byte order mark, UTF-16 turned into UTF-8; other than text is refused.

    Parameters
    ----------
    data : the file.
    log : takes the warnings.
    accepted : for the message of a file that is no text.
    """
    check_size(data, log)
    wide = data[:2] in (b"\xff\xfe", b"\xfe\xff")
    body = _from_utf_16(data) if wide else data[3:] if data[:3] == b"\xef\xbb\xbf" else data
    if not _SOMETHING.search(body):
        raise log.error(59, "is an empty file", accepted=accepted)
    if wide:
        log.warn(30, "the file is UTF-16 text", 0)
        return body
    if body is not data:
        log.warn(28, "the file begins with a byte order mark", 0)
    start = body[:400].rstrip(b"\0")
    if max(start[0::2].count(0), start[1::2].count(0)) > 0.3 * len(start[0::2]):
        raise log.error(30, "looks like UTF-16 text without its byte order mark", accepted="save it as plain text")
    if b"\0" in body.rstrip(b"\0\x1a \t\r\n") or body[:4] in (b"%PDF", b"PK\x03\x04", b"\x89PNG"):
        raise log.error(59, "looks like a binary file", accepted=accepted)
    return body


def _from_utf_16(data: bytes) -> bytes:
    """Block by block, so that no second copy of a large text is made."""
    decoder = codecs.getincrementaldecoder("utf-16")(errors="replace")
    blocks = (decoder.decode(data[at : at + _BLOCK], at + _BLOCK >= len(data)) for at in range(0, len(data), _BLOCK))
    return b"".join([block.encode("utf-8", errors="replace") for block in blocks])


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
