"""Reads TM-33 documents and their kin: the luminous intensities of one emitter, with what the document says of it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import prod

import numpy as np
from numpy.typing import NDArray

from scenelux.errors import UsageError
from scenelux.photometry.directions import PhotometricType
from scenelux.photometry.distribution import IntensityDistribution
from scenelux.photometry.faults import FaultLog
from scenelux.photometry.file import PhotometricFile
from scenelux.photometry.intensities import check_intensities, clean_intensities
from scenelux.photometry.limits import MOST_LAMPS
from scenelux.photometry.measures import flux_lm
from scenelux.photometry.symmetry import Refused, unfold
from scenelux.photometry.tm33 import own
from scenelux.photometry.tm33.grid import check_symmetry, grid_of
from scenelux.photometry.tm33.header import document_keywords
from scenelux.photometry.tm33.names import ROOTS
from scenelux.photometry.tm33.numbers import Numbers
from scenelux.photometry.tm33.parse import parse_xml
from scenelux.photometry.tm33.tree import Element, Points, one_line

__all__ = ["looks_like_tm33", "read_tm33"]

Array = NDArray[np.float64]

_MARKS = (b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff")
_TYPES: dict[str, PhotometricType] = {"IES_C": "C", "CIE_C": "C", "C": "C", "IES_A": "A", "IES_B": "B"}
_STATED_SLACK = 0.03


def looks_like_tm33(data: bytes) -> bool:
    """Whether a file is XML, by its first letter; which XML it is, reading tells.

    Example
    -------
    >>> looks_like_tm33(b" <IESTM33-22/>"), looks_like_tm33(b"IESNA91")
    (True, False)
    """
    start = data[:65536]
    for mark in _MARKS:
        start = start.removeprefix(mark)
    return start.lstrip(b"\0 \t\r\n")[:1] == b"<"


def read_tm33(data: bytes, name: str = "", *, emitter: int = 1) -> PhotometricFile:
    """Reads a TM-33 document, or one of its kin with the root LuminaireOpticalData.

    The names of header elements, and those around the dimensions of the housing, are from memory. The opening and the
    tilt table are read from elements that only scenelux writes.

    Parameters
    ----------
    data : the bytes of the file, at most 32 MB and 4 million points.
    name : of the file, for messages.
    emitter : which emitter, counted from 1; nothing is added up or multiplied.

    Source
    ------
    ANSI/IES TM-33 as described by an extract of its schema; the standard itself was not read.

    Example
    -------
    >>> points = "".join(f'<IntData h="0" v="{v}">{cd}</IntData>' for v, cd in ((0, 500), (40, 350), (90, 0)))
    >>> counts = "<NumberMeasured>3</NumberMeasured><NumberHorz>1</NumberHorz><NumberVert>3</NumberVert>"
    >>> light = f"<LuminousIntensity><Symm>Symm_Full</Symm>{counts}{points}</LuminousIntensity>"
    >>> emitter = f"<Emitter><Quantity>1</Quantity><LuminousData>{light}</LuminousData></Emitter>"
    >>> lamp = read_tm33(f"<IESTM33-22><Version>1.1</Version>{emitter}</IESTM33-22>".encode())
    >>> lamp.edition, lamp.symmetry, float(lamp.distribution.candela_at(77, 20))
    ('1.1', 'rotational', 425.0)
    """
    log = FaultLog(name)
    root = parse_xml(data, log, ROOTS)
    return _Reading(root, log, emitter).file()


@dataclass(frozen=True, eq=False)
class _Lamp:
    """The intensities of one emitter."""

    distribution: IntensityDistribution
    symmetry: str
    factors: tuple[tuple[str, float], ...]


class _Reading:
    """One document being read.

    Parameters
    ----------
    root : the document.
    log : takes the warnings and words the errors.
    emitter : which emitter, counted from 1.
    """

    def __init__(self, root: Element, log: FaultLog, emitter: int) -> None:
        self._root, self._log, self._numbers = root, log, Numbers(log)
        self._emitter = self._chosen(emitter)

    def file(self) -> PhotometricFile:
        """All of it."""
        log, edition = self._log, self._edition()
        lamps = self._quantity()
        lamp = self._lamp()
        rated = self._rated_flux()
        keywords = document_keywords(self._root, self._emitter, log)
        opening, tilt = own.read_opening(self._root, log), own.read_tilt(self._root, log)
        check_intensities(lamp.distribution, rated, keywords, log)
        self._check_flux(lamp.distribution)
        return PhotometricFile(
            format="TM-33", edition=edition, distribution=lamp.distribution, opening=opening, keywords=keywords,
            symmetry=lamp.symmetry, factors=lamp.factors, lamps=lamps, rated_flux_lm=rated, tilt=tilt,
            input_watts=self._watts(), warnings=tuple(log.warnings),
        )  # fmt: skip

    def _edition(self) -> str:
        root = self._root
        element = root.child("Version")
        attribute = next((text for key, text in root.attributes.items() if key.lower() == "version"), None)
        stated = (element.text if element else attribute or "").strip()
        usual = "1.1" if root.name.startswith("IESTM33-") else "1.0"
        if not stated:
            if root.name != "IESTM33":
                self._log.warn(134, f"the version is not stated, read as {usual}", root.offset)
            return usual
        if stated not in ("1.0", "1.1"):
            self._log.warn(134, f'the version "{stated[:40]}" is not known here, read as {usual}', root.offset)
        return stated if re.fullmatch(r"[0-9]{1,3}(?:\.[0-9]{1,3})?", stated) else usual

    def _chosen(self, emitter: int) -> Element:
        found = self._root.every("Emitter")
        if not found:
            raise self._missing("Emitter", self._root)
        if not 1 <= emitter <= len(found):
            raise UsageError("is not in the file", key="emitter", value=emitter, file=self._log.file or None,
                             accepted=f"count from 1, the file has {len(found)}")  # fmt: skip
        if len(found) > 1:
            self._log.warn(56, f"the file holds {len(found)} emitters, only number {emitter} is read", found[0].offset)
        return found[emitter - 1]

    def _missing(self, name: str, where: Element) -> Exception:
        return self._log.error(132, "is missing", where.offset, key=f"the element {name} in {where.name}",
                               accepted="a TM-33 file has one")  # fmt: skip

    def _real(self, where: Element, name: str) -> float | None:
        found = where.first(name)
        return None if found is None else self._numbers.real(found.text, found.name, found.offset)

    def _whole(self, where: Element, name: str) -> int | None:
        found = where.first(name)
        return None if found is None else self._numbers.whole(found.text, found.name, found.offset)

    def _quantity(self) -> int:
        quantity = self._whole(self._emitter, "Quantity")
        if quantity is None or quantity == 1:
            return 1
        if not 0 <= quantity <= MOST_LAMPS:
            raise self._log.error(137, "is no number of emitters", self._emitter.offset, key="Quantity", value=quantity,
                                  accepted=f"give 1 to {MOST_LAMPS}")  # fmt: skip
        self._log.warn(137, f"the quantity is {quantity}: what it means is not confirmed, nothing is multiplied by it",
                       self._emitter.offset)  # fmt: skip
        return quantity

    def _watts(self) -> float:
        watts = self._real(self._emitter, "InputWattage")
        if watts is None:
            self._log.warn(138, "the input watts are not stated", self._emitter.offset)
            return 0.0
        if watts < 0.0:
            self._log.warn(106, f"the input watts are {watts:g}, read as 0, not stated", self._emitter.offset)
        return max(watts, 0.0)

    def _luminous(self) -> Element:
        """The element with the luminous data; radiant and photon data are refused."""
        found = self._emitter.first("LuminousData")
        if found is None:
            other = self._emitter.first("RadiantData", "PhotonData")
            if other is not None:
                raise self._log.error(54, "is not luminous: the file gives no candelas", other.offset, key=other.name,
                                      accepted="give a file with LuminousData")  # fmt: skip
            raise self._missing("LuminousData", self._emitter)
        return found

    def _table(self, luminous: Element) -> tuple[Element, Points]:
        tables = luminous.every("LuminousIntensity")
        if len(tables) > 1:
            self._log.warn(56, f"the emitter holds {len(tables)} sets of intensities, only the first is read",
                           tables[0].offset)  # fmt: skip
        if not tables:
            raise self._missing("LuminousIntensity", luminous)
        points = next((one.points for one in (tables[0], *tables[0].within()) if one.points is not None), None)
        if points is None:
            raise self._missing("IntData", tables[0])
        return tables[0], points

    def _lamp(self) -> _Lamp:
        log, kind = self._log, self._kind()
        table, points = self._table(self._luminous())
        counts = [self._whole(table, name) for name in ("NumberMeasured", "NumberHorz", "NumberVert")]
        if None in counts:
            log.warn(132, "NumberMeasured, NumberHorz or NumberVert is missing, the points decide", table.offset)
        h, v, written = grid_of(points, (counts[0], counts[1], counts[2]), log)
        text, offset = self._symmetry(table)
        check_symmetry(text, kind, h, v, offset, log)
        factors = self._factors(table)
        candela = clean_intensities(written, prod(value for _, value in factors), log, points.offset[0])
        try:
            h, v, candela, words = unfold(kind, h, v, candela, lambda code, text: log.warn(code, text, table.offset))
        except Refused as refused:
            raise log.error(refused.code, refused.problem, points.offset[0], key=refused.key,
                            accepted=refused.accepted) from None  # fmt: skip
        return _Lamp(IntensityDistribution(kind, h, v, candela), words, factors)

    def _symmetry(self, table: Element) -> tuple[str, int]:
        """As stated, and where."""
        found = table.first("Symm", "SymmType")
        if found is None:
            return "", table.offset
        if found.name.lower() != "symm":
            self._log.warn(139, f"the symmetry is named {found.name}, read as Symm", found.offset)
        return one_line(found.text)[:40], found.offset

    def _kind(self) -> PhotometricType:
        meter = self._root.first("Gonioradiometer", "Goniophotometer")
        stated = None if meter is None else meter.first("Type")
        if stated is None or not stated.text.strip():
            return "C"
        name = re.sub(r"\s", "", stated.text).upper()
        if name not in _TYPES:
            raise self._log.error(136, "is a type of measurement whose angles are not confirmed", stated.offset,
                                  key="Gonioradiometer Type", value=stated.text.strip(),
                                  accepted="give type C, IES_A or IES_B")  # fmt: skip
        if _TYPES[name] != "C":
            self._log.warn(136, f"the angles of {name} are read as those of type {_TYPES[name]} of LM-63, which is not "
                           "confirmed", stated.offset)  # fmt: skip
        return _TYPES[name]

    def _factors(self, table: Element) -> tuple[tuple[str, float], ...]:
        found = (("multiplier", self._real(table, "Multiplier")),
                 ("ballast factor", self._real(self._emitter, "BallastFactor")))  # fmt: skip
        factors = tuple((key, 1.0 if value is None else value) for key, value in found)
        for key, value in factors:
            if value < 0.0:
                raise self._log.error(61, "is negative", table.offset, key=key, value=f"{value:g}",
                                      accepted="give a factor from 0 up")  # fmt: skip
            if value == 0.0:
                self._log.warn(61, f"the {key} is 0: the lamp is dark", table.offset)
        return factors

    def _rated_flux(self) -> float | None:
        """Of the rated lamps, when the document says that its photometry is relative to them."""
        stated = self._luminous().first("AbsolutePhotometry")
        word = "" if stated is None else stated.text.strip().lower()
        rated = self._real(self._emitter, "RatedLumens")
        if stated is None or word in ("true", "1"):
            return None
        if word not in ("false", "0"):
            raise self._log.error(142, "is neither true nor false", stated.offset, key=stated.name, value=word,
                                  accepted="write true or false")  # fmt: skip
        self._log.warn(142, "the photometry is not absolute: its values are read as candelas all the same",
                       stated.offset)  # fmt: skip
        return rated if rated is not None and rated > 0.0 else None

    def _check_flux(self, distribution: IntensityDistribution) -> None:
        stated = self._real(self._luminous(), "LuminousFlux")
        flux = flux_lm(distribution)
        if stated is not None and abs(flux - stated) > _STATED_SLACK * abs(stated):
            self._log.warn(53, f"the file states {stated:g} lm, the intensities give {flux:.4g} lm",
                           self._emitter.offset)  # fmt: skip
