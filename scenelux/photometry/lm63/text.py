"""The head of an LM-63 file: its edition, its keywords and its TILT line."""

from __future__ import annotations

import re
from dataclasses import dataclass

from scenelux.photometry.faults import FaultLog
from scenelux.photometry.lm63.openings import Edition
from scenelux.photometry.lm63.write import REQUIRED_KEYWORDS
from scenelux.photometry.text import decoded

__all__ = ["Header", "read_header"]

_HEADER_LIMIT_BYTES = 1_000_000

_TILT = re.compile(rb"(?:\A|(?<=[\r\n]))TILT=[^\r\n]*")
_TILT_VARIANT = re.compile(rb"(?:\A|(?<=[\r\n]))[ \t]*TILT[ \t]*=[^\r\n]*", re.IGNORECASE)
_LINE = re.compile(rb"[^\r\n]+")
_KEYWORD = re.compile(r"\s*\[([^\[\]]{0,100})\](.*)", re.DOTALL)
_IDENTIFIER = re.compile(r"\s*IES(?:NA)?\s*:?\s*(?:LM\s*-?\s*63\s*-?\s*)?(?:(19|20)?(\d\d))\s*", re.IGNORECASE)

_EDITIONS: dict[str, Edition] = {
    "IESNA91": "1991",
    "IESNA:LM-63-1995": "1995",
    "IESNA:LM-63-2002": "2002",
    "IES:LM-63-2019": "2019",
}
_ENCODINGS = {"UTF-8": "utf-8", "Windows-1252": "cp1252"}
_BY_YEAR: dict[int, Edition] = {1986: "1986", 1991: "1991", 1995: "1995", 2002: "2002", 2019: "2019"}


@dataclass(frozen=True)
class Header:
    """Edition, keywords in order, and where the numbers begin in the text."""

    edition: Edition
    keywords: tuple[tuple[str, str], ...]
    tilt: str
    numbers_at: int


def read_header(body: bytes, log: FaultLog) -> Header:
    """Reads everything up to and with the TILT line.

    Parameters
    ----------
    body : the text as bytes.
    log : takes the warnings.
    """
    match = _TILT.search(body)
    if match is None and body.lstrip()[:1] == b"<":
        raise log.error(59, "looks like XML, such as a TM-33 file", accepted="give an LM-63 file")
    if match is None and (match := _TILT_VARIANT.search(body)) is not None:
        log.warn(4, "the TILT= line is not written exactly so in the first column", match.start())
    if match is None:
        raise _without_tilt(body, log)
    if match.start() > _HEADER_LIMIT_BYTES:
        raise log.error(57, "has more than 1 MB of text before TILT=", accepted="keep to a few hundred lines")
    lines = _lines(body[: match.start()], log)
    edition, first = _edition(lines, log)
    keywords = tuple(_keyword(offset, line, edition, log) for offset, line in lines[first:])
    _check_keywords(edition, keywords, log)
    tilt = match[0].split(b"=", 1)[1].decode("latin-1").strip()
    _check_tilt(tilt, match.start(), log)
    return Header(edition, keywords, tilt, match.end())


def _without_tilt(body: bytes, log: FaultLog) -> Exception:
    lines = re.split(rb"\r\n|\r|\n", body[:4000])
    if len(lines) > 26 and all(re.fullmatch(rb"\s*\d+\s*", line) for line in (lines[1], lines[2], lines[3], lines[5])):
        return log.error(59, "looks like an EULUMDAT file (.ldt)", accepted="give an LM-63 file")
    return log.error(4, "has no TILT= line", accepted="an LM-63 file has one before its numbers, such as TILT=NONE")


def _lines(head: bytes, log: FaultLog) -> list[tuple[int, str]]:
    """Non-blank lines and their offsets; letters are UTF-8, else the Western code page of the time."""
    name = decoded(head)[1]
    found = []
    for match in _LINE.finditer(head):
        text = match[0].decode(_ENCODINGS[name], errors="replace").rstrip()
        if not text.isascii():
            log.warn(29, f"text beyond plain ASCII is read as {name}", match.start())
        if text.strip():
            found.append((match.start(), text))
    return found


def _edition(lines: list[tuple[int, str]], log: FaultLog) -> tuple[Edition, int]:
    """The edition, and the index of the first line after the identifier."""
    offset, first = lines[0] if lines else (0, "")
    if first in _EDITIONS:
        return _EDITIONS[first], 1
    if match := _IDENTIFIER.fullmatch(first):
        year = int(match[2]) + (int(match[1]) * 100 if match[1] else 1900 if int(match[2]) > 50 else 2000)
        edition = _BY_YEAR.get(year, "2019" if year > 2019 else "2002")
        log.warn(2, f'the identifier "{first.strip()[:40]}" is in no standard form, read as {edition}', offset)
        return edition, 1
    if any(_KEYWORD.match(text) for _, text in lines):
        log.warn(3, "the line that names the edition is missing though there are keywords, read as 1986")
    return "1986", 0


def _keyword(offset: int, line: str, edition: Edition, log: FaultLog) -> tuple[str, str]:
    if match := _KEYWORD.match(line):
        return match[1].strip().upper(), match[2].strip()
    if edition != "1986":
        log.warn(32, "a line before TILT= has no keyword in brackets, kept as text", offset)
    return "", line.strip()


def _check_keywords(edition: Edition, keywords: tuple[tuple[str, str], ...], log: FaultLog) -> None:
    present = {key for key, _ in keywords}
    required = {"1991": ("TEST", "MANUFAC"), "2002": REQUIRED_KEYWORDS, "2019": REQUIRED_KEYWORDS}.get(edition, ())
    missing = [key for key in required if key not in present]
    if missing:
        log.warn(101, f"the edition of {edition} asks for the keywords {', '.join(missing)}")
    if "NEARFIELD" in present:
        log.warn(102, "the file says NEARFIELD: its intensities do not hold at every distance")


def _check_tilt(tilt: str, offset: int, log: FaultLog) -> None:
    if tilt == "NONE":
        return
    if tilt.upper() == "NONE":
        log.warn(4, "the TILT= line is not written exactly so in the first column", offset)
    elif tilt.upper() == "INCLUDE":
        raise log.error(5, "holds a tilt table, which this version does not read", offset, key="TILT", value=tilt,
                        accepted="only TILT=NONE is read")  # fmt: skip
    else:
        raise log.error(6, "names a tilt file, which this version does not read", offset, key="TILT", value=tilt,
                        accepted="only TILT=NONE is read")  # fmt: skip
