"""Reads XML safely: no document type, no entities, nothing fetched, limits that are told before anything is built."""

from __future__ import annotations

import codecs
import re
from xml.parsers import expat

from scenelux.errors import LimitError
from scenelux.photometry.faults import FaultLog
from scenelux.photometry.text import plain_bytes
from scenelux.photometry.tm33.numbers import Numbers
from scenelux.photometry.tm33.tree import DOCUMENT_LETTERS, ELEMENT_LETTERS, POINT_LIMIT, Element, Points

__all__ = ["parse_xml"]

_ACCEPTED = "give a TM-33 file"

_DEPTH = 32
_ELEMENTS = 100_000  # other than points
_ATTRIBUTES = 200_000
_POINT_NAMES_LIMIT = 1000
_TAG_BYTES = 1 << 20
_CHUNK = 1 << 18

_ENDINGS = (3, 5, 20)  # of expat: no element found, unclosed token, unclosed CDATA section
_INVALID = 4

_POINT_NAMES = ("intdata", "intensitydata")
_ALIASES = {"h": "h", "v": "v", "horz": "h", "vert": "v"}

_DECLARED = re.compile(rb"<\?xml[^>]{0,200}?encoding\s*=\s*[\"']([^\"'>]{0,60})[\"']")
_ENCODINGS = {
    **dict.fromkeys(("utf8", "utf16", "utf16le", "utf16be", "ascii", "usascii"), "utf-8"),
    **dict.fromkeys(("iso88591", "latin1"), "iso-8859-1"),
    **dict.fromkeys(("windows1252", "cp1252"), "windows-1252"),
}


def parse_xml(data: bytes, log: FaultLog, roots: re.Pattern[str]) -> Element:
    """The tree of a document; numbers of points stand in the lists of the element around them.

    Parameters
    ----------
    data : the file.
    log : takes the warnings and words the errors.
    roots : pattern of the local names that the root may have.
    """
    body = log.body = plain_bytes(data, log, _ACCEPTED)
    kept = body.rstrip(b"\0\x1a \t\r\n")
    if len(kept) < len(body) and set(body[len(kept) :]) & {0, 26}:
        log.warn(26, "text follows the document and is left out", len(kept))
    return _Builder(kept, _encoding(kept, log), roots, log).run()


def _encoding(body: bytes, log: FaultLog) -> str:
    """The encoding that the text has: as declared, but for a declaration that cannot be true."""
    match = _DECLARED.match(body.lstrip()[:400])
    declared = match[1].decode("ascii", errors="replace") if match else "UTF-8"
    found = _ENCODINGS.get(re.sub(r"[-_ ]", "", declared.lower()))
    if found is None:
        raise log.error(133, "is not read", 0, key="encoding", value=declared,
                        accepted="save the file as UTF-8")  # fmt: skip
    if found == "utf-8" and not _is_utf8(body):
        log.warn(29, "text beyond plain ASCII is read as Windows-1252")
        return "windows-1252"
    return found


def _is_utf8(body: bytes) -> bool:
    if body.isascii():
        return True
    decoder = codecs.getincrementaldecoder("utf-8")()
    try:
        for start in range(0, len(body), _CHUNK):
            decoder.decode(body[start : start + _CHUNK])
        decoder.decode(b"", True)
    except UnicodeDecodeError:
        return False
    return True


class _Builder:
    """Takes the events of the parser; the handlers of points are tiny, since there are millions of them.

    Parameters
    ----------
    body : the text as bytes.
    encoding : of the text; it overrules the declaration.
    roots : pattern of the local names that the root may have.
    log : takes the warnings and words the errors.
    """

    def __init__(self, body: bytes, encoding: str, roots: re.Pattern[str], log: FaultLog) -> None:
        self._body, self._roots, self._log = body, roots, log
        self._start = len(body) - len(body.lstrip())
        self._root: Element | None = None
        self._open: list[Element] = []
        self._texts: list[str] = []
        self._point_names: set[str] = set()  # as the document writes them, with their prefix
        self._point_attributes: set[str] = set()
        self._in_point = False
        self._elements = self._attributes = self._letters = self._points = 0
        self._under: Element | None = None  # whose points are being collected
        self._h: list[str] = []
        self._v: list[str] = []
        self._values: list[str] = []
        self._offsets: list[int] = []
        self._numbers = Numbers(log)
        self._parser = self._new_parser(encoding)

    def _new_parser(self, encoding: str) -> expat.XMLParserType:
        parser = expat.ParserCreate(encoding)
        parser.ordered_attributes = True
        parser.buffer_text = True
        parser.StartElementHandler = self._begin
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._texts.append
        parser.StartDoctypeDeclHandler = self._refuse_declaration
        parser.EntityDeclHandler = self._refuse_declaration
        parser.ExternalEntityRefHandler = self._refuse_declaration
        return parser

    def run(self) -> Element:
        """Feeds the text piece by piece, with the limits checked after each."""
        try:
            for start in range(self._start, len(self._body), _CHUNK):
                piece = self._body[start : start + _CHUNK]
                self._parser.Parse(piece, False)
                self._convert()
                self._check_piece(start + len(piece))
            self._parser.Parse(b"", True)
        except expat.ExpatError as error:
            raise self._malformed(error.code) from None
        assert self._root is not None
        return self._root

    def _malformed(self, code: int) -> Exception:
        what, accepted = expat.ErrorString(code), "save the file anew from the program that made it"
        if code in _ENDINGS:
            what, accepted = "it ends too early", "check that the file is complete"
        if code == _INVALID:
            what = "a letter is out of place"
        return self._log.error(130, f"is no well-formed XML: {what}", self._at(self._parser.ErrorByteIndex),
                               accepted=accepted)  # fmt: skip

    def _at(self, index: int) -> int:
        return self._start + max(index, 0)

    def _here(self) -> int:
        return self._at(self._parser.CurrentByteIndex)

    def _check_piece(self, fed: int) -> None:
        if fed - self._here() > _TAG_BYTES:
            raise self._too_much(f"has a tag, comment or other mark of more than {_TAG_BYTES} bytes")
        if len(self._texts) > 1 and sum(map(len, self._texts)) > ELEMENT_LETTERS:
            raise self._too_much(f"has an element with more than {ELEMENT_LETTERS} letters")

    def _too_much(self, problem: str) -> LimitError:
        line, column = self._log.place(self._here())
        return LimitError(problem, file=self._log.file or None, line=line, column=column,
                          accepted="check that it is a lamp file")  # fmt: skip

    def _refuse_declaration(self, *_: object) -> int:
        raise self._log.error(131, "declares a document type or an entity, which is refused", self._here(),
                              accepted="remove the DOCTYPE from the file")  # fmt: skip

    def _begin(self, name: str, attributes: list[str]) -> None:
        if name not in self._point_names or not self._open:
            self._begin_element(name, attributes)
            return
        if self._under is not self._open[-1]:
            self._collect_under(self._open[-1])
        if self._in_point or (self._texts and not "".join(self._texts).isspace()):
            raise self._misplaced()
        self._texts.clear()
        if len(attributes) == 4 and attributes[0] == "h" and attributes[2] == "v":
            self._h.append(attributes[1])
            self._v.append(attributes[3])
        else:
            self._begin_unusual_point(attributes)
        self._offsets.append(self._parser.CurrentByteIndex)
        self._in_point = True

    def _end(self, _: str) -> None:
        texts = self._texts
        if self._in_point:
            self._values.append(texts[0] if len(texts) == 1 else "".join(texts))
            texts.clear()
            self._in_point = False
        else:
            self._keep_text()
            self._open.pop()

    def _begin_element(self, name: str, attributes: list[str]) -> None:
        local = name.rpartition(":")[2]
        if self._open and local.lower() in _POINT_NAMES:
            self._point_names.add(name)
            self._check_names(len(self._point_names))
            if local.lower() != "intdata":
                self._log.warn(139, "points are named IntensityData, read as IntData", self._here())
            self._begin(name, attributes)
            return
        if self._in_point:
            raise self._misplaced()
        if not self._open and not self._roots.fullmatch(local):
            raise self._log.error(59, "is the root of no lamp file that is read", self._here(), key="the element",
                                  value=local, accepted="give a TM-33 file, with the root IESTM33-22")  # fmt: skip
        self._keep_text()
        self._count(attributes)
        named = {key.rpartition(":")[2]: value for key, value in zip(attributes[::2], attributes[1::2], strict=True)}
        element = Element(local, self._here(), named)
        if self._open:
            self._open[-1].children.append(element)
        else:
            self._root = element
        self._open.append(element)

    def _count(self, attributes: list[str]) -> None:
        self._elements += 1
        self._attributes += len(attributes) // 2
        self._letters += sum(map(len, attributes))
        if len(self._open) >= _DEPTH:
            raise self._too_much(f"has elements nested more than {_DEPTH} levels deep")
        if self._elements > _ELEMENTS:
            raise self._too_much(f"has more than {_ELEMENTS} elements beside its points")
        if self._attributes > _ATTRIBUTES:
            raise self._too_much(f"has more than {_ATTRIBUTES} attributes")

    def _keep_text(self) -> None:
        """Gives the text so far to the element that is open."""
        text = "".join(self._texts)
        self._texts.clear()
        if not self._open or not text or (text.isspace() and "\n" in text):
            return
        self._letters += len(text)
        if len(text) > ELEMENT_LETTERS:
            raise self._too_much(f"has an element with more than {ELEMENT_LETTERS} letters")
        if self._letters > DOCUMENT_LETTERS:
            raise self._too_much(f"has more than {DOCUMENT_LETTERS} letters of text")
        self._open[-1].parts.append(text)

    def _misplaced(self) -> Exception:
        return self._log.error(27, "stands where only points or numbers belong", self._here(), key="an element or text",
                               accepted="give IntData elements with one number each")  # fmt: skip

    def _begin_unusual_point(self, attributes: list[str]) -> None:
        """A point whose attributes are not just h and v in this order."""
        self._point_attributes.update(attributes[::2])
        self._check_names(len(self._point_attributes))
        found: dict[str, str] = {}
        for key, value in zip(attributes[::2], attributes[1::2], strict=True):
            name = key.rpartition(":")[2].lower()
            if name in ("horz", "vert"):
                self._log.warn(139, "angles of points are named horz and vert, read as h and v", self._here())
            if name in _ALIASES:
                found[_ALIASES[name]] = value
        for key in ("h", "v"):
            if key not in found:
                raise self._log.error(132, "is missing", self._here(), key=f"the angle {key} of a point",
                                      accepted='write <IntData h="0" v="0">')  # fmt: skip
        self._h.append(found["h"])
        self._v.append(found["v"])

    def _check_names(self, count: int) -> None:
        """The parser keeps every name that it has seen, so points must not each bring a new one."""
        if count > _POINT_NAMES_LIMIT:
            raise self._too_much(f"has points with more than {_POINT_NAMES_LIMIT} names of elements or attributes")

    def _collect_under(self, element: Element) -> None:
        self._convert()
        self._under = element
        if element.points is None:
            element.points = Points()

    def _convert(self) -> None:
        """Turns the collected words into numbers, so that they do not pile up."""
        if not self._offsets and not self._values:
            return
        assert self._under is not None and self._under.points is not None
        points = self._under.points
        self._points += len(self._offsets)
        if self._points > POINT_LIMIT:
            raise self._too_much(f"has more than {POINT_LIMIT} points")
        points.offset.extend(self._at(index) for index in self._offsets)
        for key, words, numbers in (("the angle h", self._h, points.h_deg), ("the angle v", self._v, points.v_deg),
                                    ("IntData", self._values, points.value)):  # fmt: skip
            self._numbers.extend(numbers, words, key, points.offset)
            words.clear()
        self._offsets.clear()
