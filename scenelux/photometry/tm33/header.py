"""What a TM-33 document says in words, as keywords: its header, the emitter's description, the housing."""

from __future__ import annotations

import re
from collections.abc import Iterator

from scenelux.photometry.faults import FaultLog
from scenelux.photometry.keywords import HOUSING_MM, RATED_LUMENS
from scenelux.photometry.tm33 import own
from scenelux.photometry.tm33.names import ELEMENT_KEYWORDS, LARGEST_SIZE_M, millimetres
from scenelux.photometry.tm33.numbers import Numbers
from scenelux.photometry.tm33.tree import Element, one_line

__all__ = ["document_keywords"]


def document_keywords(root: Element, emitter: Element, log: FaultLog) -> tuple[tuple[str, str], ...]:
    """All keywords, in the order of the document or else in the one that scenelux noted.

    Parameters
    ----------
    root : the document.
    emitter : the one that is read.
    log : takes the warnings and words the errors.
    """
    found = [*_header(root), *_housing(root, log)]
    if description := emitter.child("Description"):
        found.append(("LAMP", one_line(description.text)))
    if rated := emitter.first("RatedLumens"):
        found.append((RATED_LUMENS, rated.text.strip()))
    return own.in_order(root, found)


def _header(root: Element) -> Iterator[tuple[str, str]]:
    header = root.first("Header")
    for one in header.children if header is not None else ():
        name = one.name.lower()
        text = one.words() if one.children else one_line(one.text)
        yield ELEMENT_KEYWORDS.get(name, "_" + re.sub(r"[\[\]]", "", one.name).upper()), text


def _housing(root: Element, log: FaultLog) -> Iterator[tuple[str, str]]:
    """The sizes of the housing, which are not those of the opening."""
    around = [one for one in root.children if one.name.lower() not in ("emitter", "customdata")]
    inside = (one if one.name.lower() == "dimensions" else one.first("Dimensions") for one in around)
    sizes = next((one for one in inside if one is not None), None)
    if sizes is None:
        return
    found = [sizes.child(name) for name in ("Length", "Width", "Height")]
    numbers = Numbers(log)
    values = [None if one is None else numbers.real(one.text, one.name, one.offset) for one in found]
    if any(value is not None and value > LARGEST_SIZE_M for value in values):
        log.warn(139, f"the sizes of the housing are above {LARGEST_SIZE_M} m, read as millimetres", sizes.offset)
        yield HOUSING_MM, " ".join("0" if one is None else one.text.strip() for one in found)
    elif None not in values:
        yield HOUSING_MM, " ".join(millimetres(one.text.strip()) for one in found if one is not None)
