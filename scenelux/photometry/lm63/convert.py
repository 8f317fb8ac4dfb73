"""Writes any photometric file as LM-63, with everything that it says kept in keywords where LM-63 has no field."""

from __future__ import annotations

from scenelux.photometry.file import PhotometricFile
from scenelux.photometry.keywords import BASIS, GENERATION, RATED_LUMENS
from scenelux.photometry.lm63.generation import generation_of
from scenelux.photometry.lm63.keyword_lines import plain_key
from scenelux.photometry.lm63.write import WrittenEdition, write_lm63

__all__ = ["write_lm63_file"]

Keywords = list[tuple[str, str]]


def write_lm63_file(file: PhotometricFile, edition: WrittenEdition = "2002") -> bytes:
    """A photometric file of any format as an LM-63 file with absolute intensities.

    The factors go into the candelas and are listed under OTHER; the rated flux, how the file came about, and whether
    its values are required ones are kept in user keywords. Writing what was written and read again gives the same.

    Parameters
    ----------
    file : as read.
    edition : "2002" or "2019".

    Source
    ------
    ANSI/IESNA LM-63-2002, clauses 5.5 and 6.12: applied factors are reported, absolute photometry is marked.

    Example
    -------
    >>> from scenelux.photometry.lm63.read import read_lm63
    >>> lines = [b"IESNA91", b"[TEST] 1", b"TILT=NONE", b"1 800 2 2 1 1 2 0 0 0", b"1 1 9", b"0 90", b"0", b"100 0"]
    >>> text = write_lm63_file(read_lm63(bytes((10,)).join(lines)))
    >>> [line.decode() for line in text.split(bytes((13, 10)))[4:7]]
    ['[TEST] 1', '[OTHER] The candelas include the multiplier 2', '[_RATEDLUMENS] 800']
    """
    keywords = _plain(file)
    if file.rated_flux_lm is not None:
        _add_once(keywords, RATED_LUMENS, f"{file.rated_flux_lm:.10g}")
    if file.basis is not None:
        _add_once(keywords, BASIS, file.basis)
    token = _token(file, keywords)
    if token is not None and edition == "2002":
        _add_once(keywords, GENERATION, token)
    return write_lm63(
        file.distribution, keywords, opening=file.opening, input_watts=max(file.input_watts, 0.0), edition=edition,
        generation=token, tilt=file.tilt, lamps=max(file.lamps, 1),
    )  # fmt: skip


def _plain(file: PhotometricFile) -> Keywords:
    """The keywords of the file as LM-63 takes them, and what it says of the intensities beside them."""
    keywords = [(plain_key(key), text) for key, text in file.keywords if key or text.strip()]
    if date := file.text("DATE"):  # its name before the edition of 2002
        _add_once(keywords, "ISSUEDATE", date)
    if file.tilt is not None and file.tilt.lamp_position_deg is not None:
        _add_once(keywords, "LAMPPOSITION", "{:.10g},{:.10g}".format(*file.tilt.lamp_position_deg))
    factors = ", ".join(f"the {name} {value:.10g}" for name, value in file.factors if value != 1.0)
    if factors:
        keywords.append(("OTHER", f"The candelas include {factors}"))
    return keywords


def _add_once(keywords: Keywords, key: str, text: str) -> None:
    """Adds a keyword at the end unless there is one of its name."""
    if all(name != key for name, _ in keywords):
        keywords.append((key, text))


def _token(file: PhotometricFile, keywords: Keywords) -> str | None:
    """How the file came about: as it says, or as a keyword kept it from an edition that could say it."""
    if file.generation is not None:
        return file.generation.token
    kept = next((text for key, text in keywords if key == GENERATION), "")
    return kept if generation_of(kept) else None
