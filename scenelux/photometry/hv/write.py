"""Writes H-V tables: the points of a table, or the grid of a distribution, one on a line."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from scenelux.errors import LimitError, UsageError
from scenelux.photometry.digits import shortest
from scenelux.photometry.distribution import IntensityDistribution
from scenelux.photometry.file import Basis, PhotometricFile, TestPoint
from scenelux.photometry.hv.cells import MOST_COMMENTS
from scenelux.photometry.hv.metadata import SPOKEN, STEERING
from scenelux.photometry.hv.notation import point_name
from scenelux.photometry.hv.table import MOST_POINTS
from scenelux.photometry.limits import written

__all__ = ["write_hv_table"]

_NOT_OF_KEYS = re.compile(r"[^a-z0-9-]+")
_KEYS = {keyword: key for key, keyword in SPOKEN.items()}


def write_hv_table(
    source: PhotometricFile | IntensityDistribution | Sequence[TestPoint],
    *,
    basis: Basis | None = None,
    keywords: Sequence[tuple[str, str]] = (),
) -> bytes:
    """A list of test points in candela, which reads back with the same values.

    Parameters
    ----------
    source : a file with its points, or else the nodes of its distribution; a distribution of type A or B; or points,
        which count as type A.
    basis : whether the values are measured or required; that of the file when not given. A table without one reads
        back as required minimum.
    keywords : (key, text) of what is no file; a file brings its own.

    Example
    -------
    >>> write_hv_table([TestPoint(-5.0, 10.0, 12.5)], basis="measured").decode().split()[2:]
    ['measured', '#', 'type:', 'A', 'point,cd', '10U-5L,12.5']
    """
    kind, points = "A", list(_points(source))
    if isinstance(source, PhotometricFile):
        kind, basis, keywords = source.distribution.photometric_type, basis or source.basis, source.keywords
    elif isinstance(source, IntensityDistribution):
        kind = source.photometric_type
    lines = [f"# basis: {basis}"] if basis else []
    said = _keyword_lines(keywords)
    if len(said) > MOST_COMMENTS - len(STEERING):
        raise LimitError(f"need {len(said)} lines", key="the keywords", accepted=f"{MOST_COMMENTS} have room")
    lines += [f"# type: {kind}", *said, "point,cd"]
    lines += [f"{point_name(point.h_deg, point.v_deg)},{shortest(point.candela)}" for point in points]
    return written("".join(f"{line}\r\n" for line in lines).encode())


def _points(source: PhotometricFile | IntensityDistribution | Sequence[TestPoint]) -> Iterable[TestPoint]:
    if isinstance(source, PhotometricFile):
        source = source.points or source.distribution
    if not isinstance(source, IntensityDistribution):
        return source
    if source.photometric_type == "C":
        raise UsageError("is of type C, which has no H and V", key="distribution", accepted="give one of type A or B")
    if source.candela.size > MOST_POINTS:
        raise LimitError(f"is a grid of {source.candela.size} nodes", accepted=f"a list has at most {MOST_POINTS}")
    return (
        TestPoint(h, v, float(source.candela[i, j]))
        for j, v in reversed(list(enumerate(source.vertical_deg.tolist())))
        for i, h in enumerate(source.horizontal_deg.tolist())
    )


def _keyword_lines(keywords: Sequence[tuple[str, str]]) -> list[str]:
    """Keywords under the keys that read back as the same; lines that continue one are joined to it."""
    joined: list[list[str]] = []
    for keyword, text in keywords:
        plain = _printable(text)
        if keyword == "MORE" and joined:
            joined[-1][1] += f" {plain}"
        else:
            joined.append([keyword or "OTHER", plain])
    named = ((_key(keyword), text) for keyword, text in joined)
    return [f"# {key}: {text}" for key, text in named if key not in STEERING]


def _key(keyword: str) -> str:
    return _KEYS.get(keyword) or " ".join(_NOT_OF_KEYS.sub(" ", keyword.lower()).split())


def _printable(text: str) -> str:
    """The text on one line, without control letters."""
    return "".join(letter for letter in " ".join(text.split()) if letter.isprintable())
