"""What TM-33 has no place for that is known here: opening, tilt table and other keywords, in elements of our own.

The inner form of EmissionAreas and of TiltAngles was not read in any source, so they are neither written nor read.
These CustomData elements belong to scenelux alone; no standard describes them.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Literal, get_args

from scenelux.photometry.digits import shortest
from scenelux.photometry.distribution import Opening
from scenelux.photometry.faults import FaultLog
from scenelux.photometry.limits import LARGEST_SIZE_M, USUAL_SIZE_M
from scenelux.photometry.symmetry import LEAST_STEP_DEG
from scenelux.photometry.tilt import LARGEST_FACTOR, MOST_TILTS, TiltTable
from scenelux.photometry.tm33.numbers import Numbers
from scenelux.photometry.tm33.tree import Element
from scenelux.photometry.tm33.words import quoted, xml_text

__all__ = ["in_order", "keyword_lines", "opening_lines", "read_opening", "read_tilt", "tilt_lines"]

Shape = Literal["point", "rectangle", "ellipse"]
Keywords = Sequence[tuple[str, str]]

_OPENING = "luminous opening of scenelux"
_TILT = "tilt table of scenelux"
_KEYWORDS = "keywords of scenelux"


def _own(root: Element, name: str) -> Element | None:
    """The element of our own with this name."""
    return next((one for one in root.every("CustomData") if (tag := one.child("Name")) and tag.text == name), None)


def _custom(name: str, lines: Sequence[str]) -> list[str]:
    return ["<CustomData>", f"<Name>{name}</Name>", *lines, "</CustomData>"]


def opening_lines(opening: Opening) -> list[str]:
    """The luminous opening as lines of XML, sizes in metres; none for a point."""
    if opening == Opening():
        return []
    sizes = zip(("Length", "Width", "Height"), opening.size_m, strict=True)
    lines = [f"<Shape>{opening.shape}</Shape>", f"<Solid>{xml_text(opening.solid)}</Solid>"]
    return _custom(_OPENING, [*lines, *(f"<{name}>{shortest(size)}</{name}>" for name, size in sizes)])


def read_opening(root: Element, log: FaultLog) -> Opening:
    """The luminous opening of our own element, or else a point.

    Parameters
    ----------
    root : the document.
    log : takes the warnings and words the errors.
    """
    own = _own(root, _OPENING)
    if own is None:
        if other := root.first("EmissionAreas", "EmissionArea"):
            log.warn(140, "the form of EmissionAreas is not known here, the lamp counts as a point", other.offset)
        return Opening()
    texts = {one.name: one.text.strip() for one in own.children}
    numbers = Numbers(log)
    length, width, height = (
        numbers.real(texts.get(name, ""), f"the {name} of the opening", own.offset)
        for name in ("Length", "Width", "Height")
    )
    shape: Shape | None = next((one for one in get_args(Shape) if one == texts.get("Shape")), None)
    if shape is None or min(length, width, height) < 0.0 or max(length, width, height) > LARGEST_SIZE_M:
        log.warn(140, "the opening is not in the form that scenelux writes, the lamp counts as a point", own.offset)
        return Opening()
    if max(length, width, height) > USUAL_SIZE_M:
        log.warn(105, f"the luminous opening is {max(length, width, height):g} m large: check its unit", own.offset)
    return Opening(shape, length, width, height, texts.get("Solid", "")[:60] or shape)


def tilt_lines(tilt: TiltTable | None) -> list[str]:
    """The tilt table as lines of XML."""
    if tilt is None:
        return []
    lines = [f"<Geometry>{tilt.geometry}</Geometry>"]
    if tilt.lamp_position_deg is not None:
        h, v = (shortest(angle) for angle in tilt.lamp_position_deg)
        lines.append(f'<LampPosition h="{h}" v="{v}"/>')
    pairs = zip(tilt.angles_deg, tilt.factors, strict=True)
    lines += [f'<Factor tilt="{shortest(angle)}">{shortest(factor)}</Factor>' for angle, factor in pairs]
    return _custom(_TILT, lines)


def read_tilt(root: Element, log: FaultLog) -> TiltTable | None:
    """The tilt table of our own element.

    Parameters
    ----------
    root : the document.
    log : takes the warnings and words the errors.
    """
    own = _own(root, _TILT)
    if own is None:
        if other := root.first("TiltAngles"):
            log.warn(141, "the form of TiltAngles is not known here, they are not read", other.offset)
        return None
    numbers = Numbers(log)

    def pair(one: Element, names: tuple[str, str]) -> tuple[float, float]:
        words = [one.text if name == "" else one.attributes.get(name, "") for name in names]
        first, second = (numbers.real(word, "the tilt table", one.offset) for word in words)
        return first, second

    pairs = [pair(one, ("tilt", "")) for one in own.every_child("Factor")]
    angles, factors = tuple(angle for angle, _ in pairs), tuple(factor for _, factor in pairs)
    geometry = own.child("Geometry")
    code = numbers.whole(geometry.text, "the geometry", geometry.offset) if geometry is not None else 0
    if code not in (1, 2, 3) or not _is_table(angles, factors):
        log.warn(141, "the tilt table is not in the form that scenelux writes, it is not read", own.offset)
        return None
    h, v = pair(position, ("h", "v")) if (position := own.child("LampPosition")) else (-1.0, -1.0)
    return TiltTable(code, angles, factors, (h, v) if 0.0 <= h <= 360.0 and 0.0 <= v <= 180.0 else None)


def _is_table(angles: Sequence[float], factors: Sequence[float]) -> bool:
    """Whether angles and factors are as every format takes them."""
    return (
        0 < len(angles) <= MOST_TILTS
        and all(low + LEAST_STEP_DEG < high for low, high in pairwise(angles))
        and (angles[0] >= 0.0 and angles[-1] <= 180.0)
        and (min(factors) >= 0.0 and max(factors) <= LARGEST_FACTOR)
    )


def keyword_lines(keywords: Keywords, elsewhere: frozenset[int]) -> list[str]:
    """All keywords in order as lines of XML; those that stand elsewhere in the document only by name.

    Parameters
    ----------
    keywords : (key, text) in order.
    elsewhere : indices of those that stand in an element of the standard.
    """
    lines = [
        f"<HeaderKeyword name={quoted(key)}/>"
        if at in elsewhere
        else f"<Keyword name={quoted(key)}>{xml_text(text)}</Keyword>"
        for at, (key, text) in enumerate(keywords)
    ]
    return _custom(_KEYWORDS, lines) if lines else []


def in_order(root: Element, found: Keywords) -> tuple[tuple[str, str], ...]:
    """The keywords in the order that our own element keeps, its own texts among them.

    Parameters
    ----------
    root : the document.
    found : keywords that stand in elements of the standard.
    """
    own = _own(root, _KEYWORDS)
    if own is None:
        return tuple(found)
    waiting: dict[str, deque[str]] = {}
    for key, text in found:
        waiting.setdefault(key, deque()).append(text)

    def ordered() -> Iterator[tuple[str, str]]:
        for one in own.children:
            key = one.attributes.get("name", "")
            if one.name == "Keyword":
                yield key, one.text
            elif one.name == "HeaderKeyword" and waiting.get(key):
                yield key, waiting[key].popleft()

    listed = list(ordered())
    return (*listed, *((key, text) for key, texts in waiting.items() for text in texts))
