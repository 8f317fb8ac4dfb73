"""The head of an LM-63 file: its edition, its keywords and its TILT line."""

from __future__ import annotations

import re
from dataclasses import dataclass

from scenelux.photometry.eulumdat.look import looks_like_eulumdat
from scenelux.photometry.faults import FaultLog
from scenelux.photometry.lm63.openings import Edition
from scenelux.photometry.text import decoded

__all__ = ["HEAD_LINES", "REQUIRED_KEYWORDS", "Header", "looks_like_lm63", "read_header"]

REQUIRED_KEYWORDS = ("TEST", "TESTLAB", "ISSUEDATE", "MANUFAC")
"""Of the editions of 2002 and 2019."""

_REQUIRED: dict[str, tuple[str, ...]] = {
    "1991": ("TEST", "MANUFAC"),
    "2002": REQUIRED_KEYWORDS,
    "2019": REQUIRED_KEYWORDS,
}

_HEAD_BYTES = 1_000_000
HEAD_LINES = 5_000
"""Most lines before the TILT line."""

_FIRST_BYTES = 65_536

_TILT = re.compile(rb"(?:\A|(?<=[\r\n]))TILT=[^\r\n]*")
_TILT_VARIANT = re.compile(rb"(?:\A|(?<=[\r\n]))[ \t]*TILT[ \t]*=[^\r\n]*", re.IGNORECASE)
_LINE = re.compile(rb"[^\r\n]+")
_KEYWORD = re.compile(r"\s*\[([^\[\]]{0,100})\](.*)", re.DOTALL)
_IDENTIFIER = re.compile(
    r"IES(?:NA)?[ :-]*(?:(?P<year>(?:19|20)?\d\d)|LM[ -]*63[ -]*(?P<dated>(?:19|20)?\d\d)?(?:\D.*)?)", re.IGNORECASE
)

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
    """The head of a file.

    Parameters
    ----------
    edition : its year.
    guessed : nothing in the file names the edition though it has keywords.
    keywords : (key, text) in order.
    keywords_at : offset of each.
    tilt : what follows TILT=.
    tilt_at, numbers_at : offsets of the TILT line and of what follows it.
    """

    edition: Edition
    guessed: bool
    keywords: tuple[tuple[str, str], ...]
    keywords_at: tuple[int, ...]
    tilt: str
    tilt_at: int
    numbers_at: int


def looks_like_lm63(text: bytes) -> bool:
    """Whether a text is an LM-63 file, by its beginning: an identifier line, or a line that begins with TILT=.

    Parameters
    ----------
    text : without a byte order mark.

    Example
    -------
    >>> looks_like_lm63(b"A lamp of 1986" + bytes([10]) + b"TILT=NONE"), looks_like_lm63(b"<?xml?>")
    (True, False)
    """
    start = text[:_FIRST_BYTES]
    first = _LINE.search(start.lstrip())
    named = first is not None and _IDENTIFIER.fullmatch(first[0][:100].decode("latin-1").strip()) is not None
    return named or _TILT_VARIANT.search(start) is not None


def read_header(body: bytes, log: FaultLog) -> Header:
    """Reads everything up to and with the TILT line.

    Parameters
    ----------
    body : the text as bytes.
    log : takes the warnings.
    """
    match = _TILT.search(body, 0, _HEAD_BYTES)
    if match is None and (match := _TILT_VARIANT.search(body, 0, _HEAD_BYTES)) is not None:
        log.warn(4, _unusual_tilt(match[0]), match.start())
    if match is None:
        raise _without_tilt(body, log)
    lines = _lines(body[: match.start()], log)
    edition, first, guessed = _edition(lines, log)
    keywords = tuple(_keyword(offset, line, edition, log) for offset, line in lines[first:])
    places = tuple(offset for offset, _ in lines[first:])
    _check_keywords(edition, keywords, places, log)
    tilt = decoded(match[0].split(b"=", 1)[1])[0].strip()
    if tilt.upper() in ("", "NONE", "INCLUDE") and not tilt.isupper():
        log.warn(4, _unusual_tilt(match[0]), match.start())
    return Header(edition, guessed, keywords, places, tilt, match.start(), match.end())


def _unusual_tilt(line: bytes) -> str:
    shown = line[:40].decode("ascii", errors="replace").rstrip()
    return f'"{shown}" is read as the TILT line, which is written in capitals from the first column, such as TILT=NONE'


def _without_tilt(body: bytes, log: FaultLog) -> Exception:
    start = body[:4000].lstrip()
    if start[:1] == b"<":
        return log.error(59, "looks like XML, such as a TM-33 file", accepted="give an LM-63 file")
    if looks_like_eulumdat(body):
        return log.error(59, "looks like an EULUMDAT file (.ldt)", accepted="give an LM-63 file")
    where = " in its first 1 MB" if len(body) > _HEAD_BYTES else ""
    wanted = "an LM-63 file has one before its numbers, such as TILT=NONE"
    return log.error(4, f"has no TILT= line{where}", accepted=wanted)


def _lines(head: bytes, log: FaultLog) -> list[tuple[int, str]]:
    """Non-blank lines and their offsets; letters are UTF-8, else the Western code page of the time."""
    name = decoded(head)[1]
    found: list[tuple[int, str]] = []
    for match in _LINE.finditer(head):
        if len(found) == HEAD_LINES:
            raise log.error(57, f"has more than {HEAD_LINES} lines before TILT=", match.start(),
                            accepted="leave some keywords out")  # fmt: skip
        text = match[0].decode(_ENCODINGS[name], errors="replace").rstrip()
        if not text.isascii():
            log.warn(29, f"text beyond plain ASCII is read as {name}", match.start())
        if text.strip():
            found.append((match.start(), text))
    return found


def _edition(lines: list[tuple[int, str]], log: FaultLog) -> tuple[Edition, int, bool]:
    """The edition, the index of the first line after the identifier, and whether the edition is a guess."""
    offset, first = lines[0] if lines else (0, "")
    if first in _EDITIONS:
        return _EDITIONS[first], 1, False
    has_keywords = any(_KEYWORD.match(text) for _, text in lines)
    match = _IDENTIFIER.fullmatch(first.strip()[:200])
    if match and (has_keywords or match["year"] or match["dated"]):
        edition = _edition_of(match["year"] or match["dated"])
        log.warn(2, f'the identifier "{first.strip()[:40]}" is in no standard form, read as {edition}', offset)
        return edition, 1, False
    if has_keywords:
        log.warn(3, "the line that names the edition is missing though there are keywords, read as 1986", offset)
    return "1986", 0, has_keywords


def _edition_of(digits: str | None) -> Edition:
    """The edition of a year of two or four digits; a later one is read as the latest, another unknown one as 2002."""
    if digits is None:
        return "2002"
    year = int(digits) if len(digits) == 4 else int(digits) + (1900 if int(digits) > 50 else 2000)
    return _BY_YEAR.get(year, "2019" if year > 2019 else "2002")


def _keyword(offset: int, line: str, edition: Edition, log: FaultLog) -> tuple[str, str]:
    if match := _KEYWORD.match(line):
        return match[1].strip().upper(), match[2].strip()
    if edition != "1986":
        log.warn(32, "a line before TILT= has no keyword in brackets, kept as text", offset)
    return "", line.strip()


def _check_keywords(
    edition: Edition, keywords: tuple[tuple[str, str], ...], places: tuple[int, ...], log: FaultLog
) -> None:
    present = {key: place for (key, _), place in zip(keywords, places, strict=True)}
    missing = [key for key in _REQUIRED.get(edition, ()) if key not in present]
    if missing:
        log.warn(101, f"keywords that the edition of {edition} asks for are missing: {', '.join(missing)}", 0)
    if "NEARFIELD" in present:
        log.warn(102, "the file says NEARFIELD: its intensities do not hold at every distance", present["NEARFIELD"])
