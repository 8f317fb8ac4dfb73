"""Writes TM-33 documents: all factors in the candelas, only exact symmetry left out, every keyword kept in order."""

from __future__ import annotations

from scenelux.errors import LimitError
from scenelux.names import LARGEST_PHOTOMETRIC_BYTES
from scenelux.photometry.digits import PLAIN_NUMBER, shortest, six_digits
from scenelux.photometry.distribution import Opening
from scenelux.photometry.edges import continued
from scenelux.photometry.file import PhotometricFile
from scenelux.photometry.keywords import BASIS, GENERATION, HOUSING_MM, RATED_LUMENS
from scenelux.photometry.limits import written
from scenelux.photometry.measures import flux_lm
from scenelux.photometry.symmetry import NONE, listed_planes, symmetry_of
from scenelux.photometry.tm33.grid import SYMMETRIES
from scenelux.photometry.tm33.names import KEYWORD_ELEMENTS, housing_metres
from scenelux.photometry.tm33.own import keyword_lines, opening_lines, tilt_lines
from scenelux.photometry.tm33.tree import DOCUMENT_LETTERS, ELEMENT_LETTERS, one_line
from scenelux.photometry.tm33.words import holds, xml_text

__all__ = ["write_tm33"]

Keywords = tuple[tuple[str, str], ...]

_MOST_KEYWORDS = 50_000
_ROOM = DOCUMENT_LETTERS - 100_000  # for keywords; the rest of a document is short
_LEAST_POINT_BYTES = len('<IntData h="0" v="0">0</IntData>\n')
_ACCEPTED = "write a coarser table, or LM-63"


def write_tm33(file: PhotometricFile) -> tuple[bytes, tuple[str, ...]]:
    """A photometric file as a TM-33 document, version 1.1, and sentences about what the document cannot hold.

    The names of header elements, and those around the dimensions of the housing, are from memory. Opening, tilt table
    and the order of the keywords stand in CustomData elements that only scenelux reads.

    Parameters
    ----------
    file : of any format. Its intensities are written with six significant digits, as absolute photometry; the factors
        in them, how the file came about and whether its values are required ones are kept in keywords.

    Source
    ------
    ANSI/IES TM-33 as described by an extract of its schema; the standard itself was not read.

    Example
    -------
    >>> from scenelux.photometry.distribution import IntensityDistribution
    >>> lamp = IntensityDistribution("C", [0, 360], [0, 90], [[100, 0]] * 2)
    >>> file = PhotometricFile("LM-63", "2002", lamp, Opening(), (), "rotational", (), 1, None, 24.0, ())
    >>> [line for line in write_tm33(file)[0].decode().splitlines() if "Symm" in line or "IntData" in line]
    ['<Symm>Symm_Full</Symm>', '<IntData h="0" v="0">100</IntData>', '<IntData h="0" v="90">0</IntData>']
    """
    keywords = _keywords(file)
    longest, all_letters = max((len(text) for _, text in keywords), default=0), sum(map(_letters, keywords))
    if longest > ELEMENT_LETTERS or all_letters > _ROOM:
        raise LimitError(f"have {all_letters} letters", key="the keywords",
                         accepted=f"one has room for {ELEMENT_LETTERS}, all for {_ROOM}")  # fmt: skip
    placed = _placed(keywords)
    named = {element: keywords[at][1] for at, element in placed.items()}
    lines = ['<?xml version="1.0" encoding="UTF-8"?>', "<IESTM33-22>", "<Version>1.1</Version>"]
    lines += [*_header_lines(named), *_housing_lines(named), *_meter_lines(file), *_emitter_lines(file, named)]
    lines += [*opening_lines(file.opening), *tilt_lines(file.tilt)]
    lines += [*keyword_lines(keywords, frozenset(placed)), "</IESTM33-22>", ""]
    return written("\n".join(lines).encode("utf-8")), tuple(_not_held(file))


def _letters(keyword: tuple[str, str]) -> int:
    """How many of the letters of a document a keyword takes."""
    return 2 * len(keyword[0]) + len(keyword[1]) + len("name")


def _keywords(file: PhotometricFile) -> Keywords:
    """The keywords of the file, and what it says of the intensities beside them."""
    keywords = file.keywords[:_MOST_KEYWORDS]
    present = {key for key, _ in keywords}
    factors = ", ".join(f"the {name} {value:.10g}" for name, value in file.factors if value != 1.0)
    if factors:
        keywords += (("OTHER", f"The candelas include {factors}"),)
    if file.generation is not None and GENERATION not in present:
        keywords += ((GENERATION, file.generation.token),)
    if file.basis is not None and BASIS not in present:
        keywords += ((BASIS, file.basis),)
    return keywords


def _placed(keywords: Keywords) -> dict[int, str]:
    """Index of each keyword that has an element of the standard, from which it reads back as the same text."""
    elements = {**KEYWORD_ELEMENTS, "LAMP": "Emitter", RATED_LUMENS: "RatedLumens", HOUSING_MM: "Dimensions"}
    placed: dict[str, int] = {}
    for at, (key, text) in enumerate(keywords):
        element = elements.get(key)
        if element is not None and element not in placed and _fits(key, text):
            placed[element] = at
    return {at: element for element, at in placed.items()}


def _fits(key: str, text: str) -> bool:
    if key == RATED_LUMENS:
        return len(text) < 40 and PLAIN_NUMBER.fullmatch(text.encode("utf-8", "replace")) is not None
    if key == HOUSING_MM:
        return housing_metres(text) is not None
    return text == one_line(text) and holds(text)


def _header_lines(named: dict[str, str]) -> list[str]:
    inner = [f"<{name}>{xml_text(named[name])}</{name}>" for name in KEYWORD_ELEMENTS.values() if name in named]
    return ["<Header>", *inner, "</Header>"]


def _housing_lines(named: dict[str, str]) -> list[str]:
    metres = housing_metres(named.get("Dimensions", "")) or ()
    inner = [f"<{name}>{size}</{name}>" for name, size in zip(("Length", "Width", "Height"), metres, strict=False)]
    return ["<Luminaire>", "<Dimensions>", *inner, "</Dimensions>", "</Luminaire>"] if inner else []


def _meter_lines(file: PhotometricFile) -> list[str]:
    kind = f"<Type>IES_{file.distribution.photometric_type}</Type>"
    return ["<Equipment>", "<Gonioradiometer>", kind, "</Gonioradiometer>", "</Equipment>"]


def _emitter_lines(file: PhotometricFile, named: dict[str, str]) -> list[str]:
    lines = ["<Emitter>", "<Quantity>1</Quantity>"]
    lines += [f"<Description>{xml_text(named['Emitter'])}</Description>"] if "Emitter" in named else []
    lines.append(f"<InputWattage>{shortest(file.input_watts)}</InputWattage>")
    rated = named.get("RatedLumens")
    if rated is None and file.rated_flux_lm is not None:
        rated = shortest(file.rated_flux_lm)
    lines += [f"<RatedLumens>{rated}</RatedLumens>"] if rated is not None else []
    flux = f"<LuminousFlux>{six_digits(flux_lm(file.distribution))}</LuminousFlux>"
    return [*lines, "<LuminousData>", *_intensity_lines(file), flux, "</LuminousData>", "</Emitter>"]


def _intensity_lines(file: PhotometricFile) -> list[str]:
    kind = file.distribution.photometric_type
    h, v, candela = continued(
        kind, file.distribution.horizontal_deg, file.distribution.vertical_deg, file.distribution.candela
    )
    symmetry = symmetry_of(h, candela) if kind == "C" else NONE  # what one means for A and B is not confirmed
    h, candela = listed_planes(symmetry, h, candela) if kind == "C" else (h, candela)
    if candela.size * _LEAST_POINT_BYTES > LARGEST_PHOTOMETRIC_BYTES:
        raise LimitError(f"are {candela.size}, too many for a file", key="the intensities", accepted=_ACCEPTED)
    lines = [
        "<LuminousIntensity>",
        "<AbsolutePhotometry>true</AbsolutePhotometry>",
        f"<Symm>{SYMMETRIES[symmetry]}</Symm>",
    ]
    counts = (("NumberMeasured", candela.size), ("NumberHorz", h.size), ("NumberVert", v.size))
    lines += ["<Multiplier>1</Multiplier>", *(f"<{key}>{count}</{key}>" for key, count in counts)]
    ends = [f'{shortest(angle)}">' for angle in v.tolist()]
    for angle, row in zip(h.tolist(), candela, strict=True):
        start = f'<IntData h="{shortest(angle)}" v="'
        values = map(six_digits, row.tolist())
        lines += [f"{start}{end}{value}</IntData>" for end, value in zip(ends, values, strict=True)]
    return [*lines, "</LuminousIntensity>"]


def _not_held(file: PhotometricFile) -> list[str]:
    """One sentence for each thing that the document does not say as the file did."""
    keywords = file.keywords
    sentences = (
        (file.rated_flux_lm is not None, "the rated flux is kept as RatedLumens, the photometry becomes absolute"),
        (file.lamps != 1, f"the number of lamps, {file.lamps}, is not kept"),
        (bool(file.points), "the list of test points is not kept, only the table between them"),
        (file.opening != Opening(), "the opening stands in an element that only scenelux reads"),
        (file.tilt is not None, "the tilt table stands in an element that only scenelux reads"),
        (len(keywords) > _MOST_KEYWORDS, f"only the first {_MOST_KEYWORDS} keywords are kept"),
        (not all(holds(key + text) for key, text in keywords), "letters that XML cannot hold are left out"),
    )
    return [sentence for true, sentence in sentences if true]
