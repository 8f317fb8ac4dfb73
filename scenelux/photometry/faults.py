"""Warnings and errors about a photometric file, each with a stable number and its place.

Numbers up to 99 are those of common faults of such files; from 101 on they are: 101 a required keyword is missing,
102 the file is near-field data, 103 two commas touch, 104 the lamp count is not positive, 105 the opening is larger
than any lamp, 106 the input watts are negative, 107 the tilt table has another geometry or range than the format
knows, 108 the lamp position is none, 109 the file generation type is none of the legal ones.

EULUMDAT: 110 empty fields, 111 no such symmetry, 112 planes that do not fit the symmetry, 113 a conversion factor,
114 several lamp sets, 115 the light output ratio is off, 116 heights of the opening differ, 117 measured tilted, 118
one plane listed of several, 119 a size is negative.

Lamps as mounted and powered: 120 the beam axis is dark, 121 lumens that the watts cannot give.

TM-33: 130 no well-formed XML, 131 a document type or entity, 132 an element is missing, 133 unknown encoding, 134 the
version is unknown or not stated, 135 the symmetry does not fit the planes, 136 the type of measurement, 137 a
quantity of emitters, 138 no input watts, 139 names or sizes off the schema, 140 the opening and 141 the tilt angles
are of an unknown form, 142 the photometry is not absolute.

H-V tables: 150 measured or required is not said, 151 the unit is none of a table or stated twice, 152 the columns are
not told, 153 no test point or angle, 154 an angle leaves the front half, 155 a point is listed twice, 156 nodes lie
beside the listed points, 157 nodes are interpolated among them, 158 all points lie on one line, 159 a quote does not
close, 160 the basis is unknown, contradicted or stated twice, 161 points without a value, 162 one of several columns
of values is read, 163 required values understate glare.

Fits of data sheets: 170 raw chip lumens, 171 lumens that look like those, 172 few lumens for peak and angles, 173 a
claim far off the fit, 174 a shape that rests on one figure, 175 a cut-off taken as sharp, 176 a rectangle for a round
beam, 177 a peak between the points, 178 points around a place off the axis, 179 a dot that may stand between thousands.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from scenelux.errors import PhotometricError

__all__ = ["FaultLog", "FileWarning"]


@dataclass(frozen=True)
class FileWarning:
    """Something about a photometric file that its user should know: stable number, line if there is one, sentence."""

    code: int
    line: int | None
    sentence: str

    def __str__(self) -> str:
        place = f"line {self.line}: " if self.line is not None else ""
        return f"{place}{self.sentence} [{self.code}]"


@dataclass
class FaultLog:
    """Collects the warnings of one reading, and words its errors. Offsets count bytes of `body`."""

    file: str
    body: bytes = b""
    warnings: list[FileWarning] = field(default_factory=list)

    def warn(self, code: int, sentence: str, offset: int | None = None) -> None:
        """Keeps a warning, once."""
        sentence = _on_one_line(sentence)
        if not any(one.code == code and one.sentence == sentence for one in self.warnings):
            line = None if offset is None else self.place(offset)[0]
            self.warnings.append(FileWarning(code, line, sentence))

    def error(
        self, code: int, problem: str, offset: int | None = None, *,
        key: str | None = None, value: object = None, accepted: str | None = None,
    ) -> PhotometricError:  # fmt: skip
        """An error to raise, with its number."""
        line, column = (None, None) if offset is None else self.place(offset)
        error = PhotometricError(
            _on_one_line(problem), file=self.file or None, line=line, column=column,
            key=None if key is None else _on_one_line(key), accepted=accepted,
            value=_on_one_line(value) if isinstance(value, str) else value,
        )  # fmt: skip
        error.code = code
        return error

    def place(self, offset: int) -> tuple[int, int]:
        """Line and column of a byte, both counted from 1; computed only for messages."""
        ends, returns, pairs = (self.body.count(end, 0, offset) for end in (b"\n", b"\r", b"\r\n"))
        return 1 + ends + returns - pairs, offset - max(self.body.rfind(end, 0, offset) for end in (b"\n", b"\r"))


def _on_one_line(text: str) -> str:
    """A text of a file for a message: without line ends, and without letters that a terminal would obey."""
    if text.isprintable():
        return text
    return "".join(letter if letter.isprintable() else "?" for letter in " ".join(text.split()))
