"""Which element of a TM-33 document holds what a keyword of LM-63 says.

The element names of the header are from memory; the standard itself was not read.
"""

from __future__ import annotations

import re
from decimal import Decimal

from scenelux.photometry.digits import PLAIN_NUMBER

__all__ = ["ELEMENT_KEYWORDS", "KEYWORD_ELEMENTS", "ROOTS", "housing_metres", "millimetres"]

ROOTS = re.compile(r"IESTM33(?:-[0-9]{2})?|LuminaireOpticalData")

KEYWORD_ELEMENTS = {
    "MANUFAC": "Manufacturer",
    "LUMCAT": "CatalogNumber",
    "_GTIN": "GTIN",
    "LUMINAIRE": "Description",
    "_URI": "MoreInfoURI",
    "TESTLAB": "Laboratory",
    "TEST": "ReportNumber",
    "TESTDATE": "ReportDate",
    "_CREATOR": "DocumentCreator",
    "ISSUEDATE": "DocumentCreationDate",
    "_UUID": "UniqueIdentifier",
    "OTHER": "Comments",
    "_REFERENCE": "Reference",
}
"""Keyword -> element of the header, in the order in which they are written."""

ELEMENT_KEYWORDS = {element.lower(): keyword for keyword, element in KEYWORD_ELEMENTS.items()}


_LONGEST = 100


def millimetres(metres: str) -> str:
    """A length in metres in millimetres, digit by digit where it is written without an exponent.

    Example
    -------
    >>> millimetres("0.6"), millimetres("1.2345")
    ('600', '1234.5')
    """
    if PLAIN_NUMBER.fullmatch(metres.encode("utf-8", "replace")):
        return _plain(Decimal(metres) * 1000)
    return f"{float(metres.lower().replace('d', 'e')) * 1000:.10g}"


def housing_metres(text: str) -> tuple[str, ...] | None:
    """Three lengths in millimetres in metres, when the text reads back the same from them.

    Example
    -------
    >>> housing_metres("600 150 80.5"), housing_metres("6 by 4")
    (('0.6', '0.15', '0.0805'), None)
    """
    words = text.split(" ")
    plain = len(text) <= _LONGEST and all(PLAIN_NUMBER.fullmatch(word.encode("utf-8", "replace")) for word in words)
    if len(words) != 3 or not plain:
        return None
    metres = tuple(_plain(Decimal(word) / 1000) for word in words)
    same = " ".join(millimetres(length) for length in metres) == text
    return metres if same and all(0 <= Decimal(length) <= LARGEST_SIZE_M for length in metres) else None


LARGEST_SIZE_M = 20
"""Sizes above this are taken as millimetres."""


def _plain(value: Decimal) -> str:
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
