"""The fields of an EULUMDAT file in their order, and the keywords that keep them in a photometric file.

===============================  ==========================================================================
field                            keyword
===============================  ==========================================================================
1 company                        MANUFAC
2 luminaire type (Ityp)          _LUMINAIRETYPE
8 report number                  TEST
9 luminaire name                 LUMINAIRE
10 luminaire number              LUMCAT
11 file name                     _FILENAME
12 date and user                 ISSUEDATE (writing also takes DATE)
13-15 length, width, height      _LUMINAIRESIZEMM, three numbers [mm]
22 downward flux fraction        _DFF, computed anew by writing [%]
23 light output ratio            _LORL, computed anew by writing [%]
25 tilt during measurement       _MEASUREMENTTILT [deg]
26b lamp type                    LAMP
26c lamp flux                    writing takes _RATEDLUMENS where the intensities are absolute [lm]
26d colour                       _COLOUR
26e colour rendering group       _CRI
26 other lamp sets               _LAMPSET1, _LAMPSET2 ..., the six fields 26a to 26f with " | " between them
27 direct ratios                 _DIRECTRATIOS, ten numbers
===============================  ==========================================================================

Empty texts and luminaires of size 0 make no keyword. Fields 3 to 7, 24 and 28 to 30 are the distribution, 16 to 21 the
opening; 26a and 26c are lamps and rated flux, 26f the input.

Source
------
The format as described by its implementers; its original text was not read.
"""

from __future__ import annotations

from typing import Final, Literal, NamedTuple

__all__ = ["DIRECT_RATIOS", "HEAD", "LAMP_SET", "SET_SEPARATOR", "TEXT_KEYWORDS", "Field", "other_set_keyword"]

Kind = Literal["text", "whole", "number", "optional"]


class Field(NamedTuple):
    """A line of the file: its number, its name in words, and what it holds; an optional number may be empty."""

    number: str
    name: str
    kind: Kind

    @property
    def key(self) -> str:
        """How messages call the field."""
        return f"{self.name} (field {self.number})"


_HEAD: Final[tuple[tuple[str, Kind], ...]] = (
    ("company", "text"),
    ("luminaire type", "optional"),
    ("symmetry", "whole"),
    ("number of C-planes", "whole"),
    ("step of the C-planes", "optional"),
    ("number of gamma angles", "whole"),
    ("step of the gamma angles", "optional"),
    ("report number", "text"),
    ("luminaire name", "text"),
    ("luminaire number", "text"),
    ("file name", "text"),
    ("date and user", "text"),
    ("luminaire length", "optional"),
    ("luminaire width", "optional"),
    ("luminaire height", "optional"),
    ("luminous length", "optional"),
    ("luminous width", "optional"),
    ("luminous height at C0", "optional"),
    ("luminous height at C90", "optional"),
    ("luminous height at C180", "optional"),
    ("luminous height at C270", "optional"),
    ("downward flux fraction", "optional"),
    ("light output ratio", "optional"),
    ("conversion factor", "optional"),
    ("tilt during measurement", "optional"),
    ("number of lamp sets", "whole"),
)

HEAD = tuple(Field(str(number), name, kind) for number, (name, kind) in enumerate(_HEAD, start=1))
"""Fields 1 to 26, a line each."""

LAMP_SET = (
    Field("26a", "number of lamps", "whole"),
    Field("26b", "lamp type", "text"),
    Field("26c", "lamp flux", "number"),
    Field("26d", "colour", "text"),
    Field("26e", "colour rendering group", "text"),
    Field("26f", "watts", "optional"),
)
"""The six lines of one lamp set."""

DIRECT_RATIOS = tuple(Field("27", f"direct ratio {number}", "optional") for number in range(1, 11))
"""The ten lines before the angles."""

TEXT_KEYWORDS: Final[dict[str, str]] = {
    "company": "MANUFAC",
    "report number": "TEST",
    "luminaire name": "LUMINAIRE",
    "luminaire number": "LUMCAT",
    "file name": "_FILENAME",
    "date and user": "ISSUEDATE",
    "lamp type": "LAMP",
    "colour": "_COLOUR",
    "colour rendering group": "_CRI",
}
"""Name of a text field -> its keyword."""

SET_SEPARATOR = " | "
"""Between the six fields of a lamp set that is kept as text."""


def other_set_keyword(number: int) -> str:
    """The keyword that keeps a lamp set which was not chosen, counted from 1."""
    return f"_LAMPSET{number}"
