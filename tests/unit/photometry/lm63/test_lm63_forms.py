"""Files as laboratories of all years wrote them: line ends, encodings, old editions, and the smallest tables."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from scenelux.photometry import Opening, PhotometricFile, flux_lm, read_lm63

Write = Callable[..., bytes]

KEYWORDS = "[TEST] 60\u00b0 \u00b5\n[TESTLAB] l\n[ISSUEDATE] d\n[MANUFAC] m"
ENDS = {"LF": "\n", "CRLF": "\r\n", "CR": "\r", "two of each": "\n\n\r\r", "tabs before": " \t\n"}
ENCODINGS = {
    "UTF-8": ("utf-8", b"", {29}),
    "UTF-8 with a mark": ("utf-8", b"\xef\xbb\xbf", {28, 29}),
    "Western code page": ("cp1252", b"", {29}),
    "UTF-16 little end first": ("utf-16-le", b"\xff\xfe", {29, 30}),
    "UTF-16 big end first": ("utf-16-be", b"\xfe\xff", {29, 30}),
}


def same(one: PhotometricFile, other: PhotometricFile) -> bool:
    return (
        one.keywords == other.keywords
        and one.distribution.candela.tolist() == other.distribution.candela.tolist()
        and one.distribution.vertical_deg.tolist() == other.distribution.vertical_deg.tolist()
        and (one.factors, one.opening, one.tilt) == (other.factors, other.opening, other.tilt)
    )


@pytest.mark.parametrize("end", ENDS)
@pytest.mark.parametrize("encoding", ENCODINGS)
def test_encodings_and_line_ends(lm63: Write, encoding: str, end: str) -> None:
    text = lm63(keywords=KEYWORDS, multiplier="1.5", sizes="-0.1 -0.1 0").decode("utf-8")
    name, mark, expected = ENCODINGS[encoding]
    file = read_lm63(mark + text.replace("\n", ENDS[end]).encode(name))
    assert {one.code for one in file.warnings} == expected
    assert file.text("TEST") == "60\u00b0 \u00b5"
    assert same(file, read_lm63(text.encode("utf-8")))


def test_mixed_line_ends_in_one_file(lm63: Write) -> None:
    lines = lm63(v="0\t45 ,90", candela="100,50\t0").split(b"\n")
    ends = [b"\n", b"\r\n", b"\r", b" \r\n", b"\t\n"]
    mixed = b"".join(line + ends[at % len(ends)] for at, line in enumerate(lines))
    file = read_lm63(mixed)
    assert file.warnings == () and same(file, read_lm63(lm63()))


def test_1986_in_free_text_and_feet_with_a_ballast_lamp_factor() -> None:
    """Invented: 2 x 1.25 x 0.9 x 0.8 = 1.8 times the table; 1 x 2 ft in its round code of the time."""
    text = (
        "INVENTED FLOODLIGHT 150\r\nNARROW, SPECULAR  0123\r\nTILT=NONE\r\n"
        "1. 16000. 2.25 5 1 1 1 -1. 2. 0.\r\n0.9 0.8 188\r\n"
        "0. 5. 10. 20. 90.\r\n0.\r\n10000. 9000. 4000. 200. 0.\r\n\x1a"
    )
    file = read_lm63(text.encode("ascii"))
    assert (file.edition, file.title) == ("1986", "LM-63-1986")
    assert file.keywords == (("", "INVENTED FLOODLIGHT 150"), ("", "NARROW, SPECULAR  0123"))
    assert [name for name, _ in file.factors] == ["multiplier", "ballast factor", "ballast-lamp factor"]
    assert file.factor == pytest.approx(2.25 * 0.9 * 0.8)
    assert float(file.distribution.candela_at(0, 5)) == pytest.approx(9000 * 1.62)
    assert file.opening == Opening("ellipse", pytest.approx(0.6096), pytest.approx(0.3048), 0, "ellipse")
    assert (file.rated_flux_lm, file.input_watts) == (16000, 188)
    assert {one.code for one in file.warnings} == {26, 43}


@pytest.mark.parametrize("first", ["IESNA91", "IESNA:LM-63-1995", "IESNA:LM-63-2002", "IES:LM-63-2019", "words"])
def test_the_same_numbers_in_every_edition(lm63: Write, first: str) -> None:
    second = "0.9 1.00000 20" if "2019" in first else "0.9 1 20"
    keywords = "[TEST] t" if "IES" in first else "more words"
    file = read_lm63(lm63(first=first, keywords=keywords, second=second, multiplier="2", sizes="0.1 0.2 0"))
    assert {one.code for one in file.warnings} <= {101}
    assert file.distribution.candela[0].tolist() == pytest.approx([180, 90, 0])
    assert file.opening.size_m == (0.2, 0.1, 0)


@pytest.mark.parametrize(
    ("change", "planes", "flux"),
    [
        ({"candela": "0 0 0"}, 2, 0),
        ({"h": "0"}, 2, None),
        ({"h": "0.0"}, 2, None),
        ({"v": "0 90", "candela": "100 0"}, 2, None),
        ({"v": "0 180", "candela": "0 0"}, 2, 0),
        ({"v": "90 180", "candela": "0 0"}, 2, 0),
        ({"h": "0 360", "candela": "9 5 0\n9 5 0"}, 2, None),
    ],
    ids=["zero flux", "single plane", "single plane with a point", "two angles", "dark", "dark above", "two planes"],
)
def test_the_smallest_files(lm63: Write, change: dict[str, str], planes: int, flux: float | None) -> None:
    file = read_lm63(lm63(**change))
    assert file.distribution.horizontal_deg.size == planes
    assert flux_lm(file.distribution) == flux if flux == 0 else flux_lm(file.distribution) > 0


def test_the_tail_of_a_file_of_an_old_system_is_left_out(lm63: Write) -> None:
    for tail in (b"\x1a", b"\0" * 100, b"\r\n\x1a\0\0", b" END OF FILE"):
        file = read_lm63(lm63().rstrip(b"\n") + tail)
        assert [one.code for one in file.warnings] == [26] and file.distribution.candela[0].tolist() == [100, 50, 0]
