"""Common faults of LM-63 files by their stable number: what is taken silently, taken with a warning, or refused.

The identifier of each case begins with the number. Numbers that concern other editions and formats are not here.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from scenelux.errors import PhotometricError
from scenelux.photometry import PhotometricFile, direction, flux_lm, read_lm63

Write = Callable[..., bytes]

WIDE = {"v": "0 45 90", "h": "0 90 180 270 360"}


def rows(*planes: str) -> str:
    return "\n".join(planes)


def codes(file: PhotometricFile) -> set[int]:
    return {one.code for one in file.warnings}


ACCEPTED: list[tuple[str, dict[str, str]]] = [
    ("1 edition 1991", {"first": "IESNA91", "keywords": "[TEST] t\n[MANUFAC] m"}),
    ("1 edition 1986 is free text", {"first": "A lamp of long ago", "keywords": "80 columns of nothing"}),
    ("1 edition 1995 needs no keyword", {"first": "IESNA:LM-63-1995", "keywords": ""}),
    ("2 trailing blanks", {"first": "IESNA:LM-63-2002   "}),
    ("5 a tilt table", {"tilt": "TILT=INCLUDE\n1\n2\n0 90\n1 .9"}),
    ("8 absolute photometry", {"lumens": "-1"}),
    ("9 many lamps in absolute photometry", {"lumens": "-1", "lamps": "192"}),
    ("14 one token per line", {"candela": "100\n50\n0", "v": "0\n45\n90", "counts": "3 1"}),
    ("16 blank lines in the data", {"v": "\n\n0 45 90\n\n", "counts": "3 1"}),
    ("16 blank lines between keywords", {"keywords": "[TEST] t\n\n[TESTLAB] l\n[ISSUEDATE] d\n\n[MANUFAC] m"}),
    ("17 tabs", {"v": "0\t45\t90", "candela": "100\t50\t0"}),
    ("18 commas", {"v": "0,45 , 90", "candela": "100, 50,0"}),
    ("20 signs and bare points", {"v": "+0 45. 90.", "candela": "100 +50. .0"}),
    ("21 whole numbers with a point", {"counts": "3.0 1.0", "lamps": "2."}),
    ("33 repeated keywords", {"keywords": "[TEST] t\n[TESTLAB] l\n[ISSUEDATE] d\n[MANUFAC] m\n[OTHER] a\n[OTHER] b"}),
    ("44 very coarse grid", {"v": "0 45 90", "candela": "3 2 0"}),
]


@pytest.mark.parametrize("change", [row[1] for row in ACCEPTED], ids=[row[0] for row in ACCEPTED])
def test_accepted(lm63: Write, change: dict[str, str]) -> None:
    file = read_lm63(lm63(**change))
    assert file.warnings == ()
    assert file.distribution.candela.shape == (2, 3)


WARNED: list[tuple[str, dict[str, str]]] = [
    ("2 blanks inside the identifier", {"first": "IESNA: LM-63-2002"}),
    ("2 lower case", {"first": "iesna:lm-63-2002"}),
    ("2 a later year", {"first": "IES:LM-63-2031"}),
    ("2 leading blanks", {"first": "  IESNA:LM-63-2002"}),
    ("2 more on the line", {"first": "IESNA:LM-63-2002 (draft)"}),
    ("2 no year", {"first": "IESNA:LM-63"}),
    ("3 no identifier but keywords", {"first": ""}),
    ("4 blank before the sign", {"tilt": "TILT =NONE"}),
    ("4 lower case", {"tilt": "tilt=none"}),
    ("4 leading blank", {"tilt": "  TILT=NONE"}),
    ("4 nothing after the sign", {"tilt": "tilt="}),
    ("6 a tilt file that is not there", {"tilt": "TILT=lamp.tlt"}),
    ("8 another negative", {"lumens": "-2"}),
    ("12 field 12", {"second": "1 0.8 10"}),
    ("15 records on one line", {"v": "0 45 90 0", "h": "", "counts": "3 1"}),
    ("15 the second record ends in the middle", {"second": "1 1 10 0 45 90", "v": "", "counts": "3 1"}),
    ("19 decimal commas", {"multiplier": "1,5", "v": "0 22,5 60 90", "candela": "9 8 7 0"}),
    ("20 exponents", {"candela": "1E2 5.0d1 0"}),
    ("26 END", {"rest": "END"}),
    ("26 control z", {"rest": "\x1a"}),
    ("26 zero bytes", {"rest": "\0\0\0"}),
    ("29 degree sign", {"keywords": "[TEST] 60\u00b0\n[TESTLAB] l\n[ISSUEDATE] d\n[MANUFAC] m"}),
    ("32 text without keyword", {"keywords": "[TEST] t\n[TESTLAB] l\n[ISSUEDATE] d\n[MANUFAC] m\nfree"}),
    ("32 no closing bracket", {"keywords": "[TEST] t\n[TESTLAB] l\n[ISSUEDATE] d\n[MANUFAC] m\n[OTHER x"}),
    ("34 circle without plane 360", {"v": "0 45 90", "h": "0 90 180 270", "candela": rows(*["5 5 0"] * 4)}),
    ("35 planes 0 and 360 differ", {**WIDE, "candela": rows("9 5 0", "9 5 0", "9 5 0", "9 5 0", "9 6 0")}),
    ("36 from 90 to 270 outside 1995", {"h": "90 180 270", "candela": rows(*["5 5 0"] * 3)}),
    ("39 part of the vertical angles", {"v": "0 20 50"}),
    ("40 cut edge", {"candela": "100 50 3"}),
    ("42 planes disagree at the pole", {**WIDE, "candela": rows("9 5 0", "8 5 0", "9 5 0", "9 5 0", "9 5 0")}),
    ("43 vertical gap", {"v": "0 46 90"}),
    ("48 units", {"units": "3"}),
    ("50 shape of another edition", {"sizes": "-1 0 0"}),
    ("50 shape of none", {"sizes": "0 -1 1"}),
    ("51 slightly negative", {"candela": "100 50 -0.9"}),
    ("52 more flux than the lamps have", {"lumens": "100"}),
    ("53 lumens in a keyword", {"keywords": "[TEST] t\n[TESTLAB] l\n[ISSUEDATE] d\n[MANUFAC] m\n[_LUMENS] 500 lm"}),
    ("54 radiant data", {"keywords": "[TEST] values in mW/sr\n[TESTLAB] l\n[ISSUEDATE] d\n[MANUFAC] m"}),
    ("56 another luminaire", {"first": "IESNA:LM-63-1995", "rest": "[BLOCK]\n[TEST] second\nTILT=NONE\n1 2 3"}),
    ("58 null file", {"candela": "0 0 0"}),
    ("61 multiplier 0", {"multiplier": "0"}),
    ("61 ballast factor 0", {"second": "0 1 10"}),
    ("101 required keyword", {"keywords": "[TEST] t\n[TESTLAB] l\n[MANUFAC] m"}),
    ("102 near field", {"keywords": "[TEST] t\n[TESTLAB] l\n[ISSUEDATE] d\n[MANUFAC] m\n[NEARFIELD] 1,1,1"}),
    ("103 commas touch", {"candela": "100,,50 0"}),
    ("104 no lamps", {"lamps": "0", "lumens": "5000"}),
    ("105 an opening in millimetres", {"sizes": "600 300 0"}),
    ("106 negative watts", {"second": "1 1 -5"}),
    ("107 range of tilt angles", {"tilt": "TILT=INCLUDE\n1\n2\n0 60\n1 .9"}),
    ("108 lamp position", {"keywords": "[TEST] t\n[TESTLAB] l\n[ISSUEDATE] d\n[MANUFAC] m\n[LAMPPOSITION] up"}),
    ("109 generation type", {"first": "IES:LM-63-2019", "second": "1 0.5 10"}),
]


@pytest.mark.parametrize("change", [row[1] for row in WARNED], ids=[row[0] for row in WARNED])
def test_warned(lm63: Write, change: dict[str, str], request: pytest.FixtureRequest) -> None:
    file = read_lm63(lm63(**change))
    expected = int(request.node.callspec.id.split()[0])
    beside = {2: {101}, 61: {58}}.get(expected, set())  # another edition asks for other keywords; a factor of 0 is dark
    assert expected in codes(file)
    assert codes(file) <= {expected, *beside}
    assert all(one.sentence and one.sentence[-1] != "." for one in file.warnings)
    assert all(one.line for one in file.warnings)


REFUSED: list[tuple[str, dict[str, str], int | None, str]] = [
    ("4 no TILT line", {"tilt": "[OTHER] TILT=INCLUDE"}, None, "no TILT= line"),
    ("7 fewer tilt factors", {"tilt": "TILT=INCLUDE\n1\n2\n0 90\n1"}, 10, "after 1 of 2"),
    ("15 a tilt list that goes on", {"tilt": "TILT=INCLUDE\n1\n2\n0 90 180\n1 1"}, 9, "same line"),
    ("25 decimal commas that fit nothing", {"candela": "100,5 50,5"}, 11, "decimal point"),
    ("22 a number of 500 digits", {"candela": f"1{'0' * 500} 5 0"}, 11, "400 characters"),
    ("22 more lamps than there are", {"lamps": "9999999"}, 7, "lumens of lamps"),
    ("23 run together as a tilt list prints it", {"tilt": "TILT=INCLUDE\n1\n2\n0 90\n.95.94"}, 10, '".95.94"'),
    ("20 exponent in a whole number", {"counts": "3e0 1"}, 7, '"3e0"'),
    ("21 not whole", {"counts": "3.5 1"}, 7, '"3.5"'),
    ("22 nan", {"candela": "100 nan 0"}, 11, '"nan"'),
    ("22 inf", {"multiplier": "inf"}, 7, '"inf"'),
    ("22 hexadecimal", {"candela": "0x10 5 0"}, 11, '"0x10"'),
    ("22 underscore", {"candela": "1_000 5 0"}, 11, '"1_000"'),
    ("22 too large", {"candela": "1e999 5 0"}, 11, "too large"),
    ("22 too large when multiplied", {"candela": "1e9 5 0", "multiplier": "1e9"}, 11, "too large"),
    ("23 run together", {"candela": "100.5.7 3 0"}, 11, '"100.5.7"'),
    ("23 run together with signs", {"candela": "100-50 3 0"}, 11, '"100-50"'),
    ("24 too few numbers", {"candela": "100 50"}, None, "expected 7, found 6"),
    (
        "24 the file ends in the record",
        {"second": "", "v": "", "h": "", "candela": "", "counts": "3 1"},
        None,
        "is missing: the file ends here",
    ),
    ("25 numbers left over", {"candela": "100 50 0 7 8"}, 11, "left over: 2"),
    ("27 words in the data", {"candela": "100 fifty 0"}, 11, '"fifty"'),
    ("38 circle ends at 120", {"h": "0 60 120", "candela": rows(*["5 5 0"] * 3)}, 10, "end at 120"),
    ("39 vertical angles outside", {"v": "0 90 190"}, 9, "range"),
    ("45 vertical angles fall", {"v": "0 90 45"}, 9, "45 follows 90"),
    ("45 horizontal angle twice", {"h": "0 90 90", "candela": rows(*["5 5 0"] * 3)}, 10, "90 follows 90"),
    ("46 photometric type", {"kind": "4"}, 7, '"4" is none'),
    ("51 negative", {"candela": "100 -20 0"}, 11, '"-20"'),
    ("51 no positive value", {"candela": "-1 -1 -1"}, 11, "negative"),
    ("54 radiant unit", {"keywords": "[TEST] t\n[_UNITS] W/sr"}, None, "radiant"),
    ("56 several without a block keyword", {"rest": "[TEST] second\nTILT=NONE\n1 2 3"}, 12, "several luminaires"),
    ("56 a block before the end", {"candela": "100 50\n[BLOCK]"}, 12, '"[BLOCK]"'),
    ("57 too many of one kind", {"counts": "100001 1"}, 7, "100001 vertical"),
    ("57 a count beyond words", {"counts": "3 " + "9" * 300}, 7, "1e+300 horizontal"),
    ("57 one vertical angle", {"counts": "1 1"}, 7, "1 vertical"),
    ("57 absurd counts", {"counts": "100000 100000"}, 7, "100000 vertical"),
    ("57 negative counts", {"counts": "3 -1"}, 7, "-1 horizontal"),
    ("61 multiplier negative", {"multiplier": "-1"}, 7, "multiplier"),
    ("61 ballast factor negative", {"second": "-1 1 10"}, 8, "ballast factor"),
]


@pytest.mark.parametrize(("change", "line", "words"), [row[1:] for row in REFUSED], ids=[row[0] for row in REFUSED])
def test_refused(
    lm63: Write, change: dict[str, str], line: int | None, words: str, request: pytest.FixtureRequest
) -> None:
    with pytest.raises(PhotometricError) as caught:
        read_lm63(lm63(**change), "lamp.ies")
    sentence = str(caught.value)
    assert caught.value.code == int(request.node.callspec.id.split()[0])
    assert sentence.startswith("lamp.ies") and sentence.endswith(".") and "\n" not in sentence
    assert words in sentence
    if line is not None:
        assert caught.value.line == line and caught.value.column >= 1


def test_1_editions_by_their_first_line(lm63: Write) -> None:
    for first, edition in (
        ("IESNA91", "1991"),
        ("IESNA:LM-63-1995", "1995"),
        ("IES:LM-63-2019", "2019"),
        ("x", "1986"),
    ):
        assert read_lm63(lm63(first=first)).edition == edition


def test_4_a_tilt_inside_a_keyword_does_not_count(lm63: Write) -> None:
    keywords = "[TEST] t\n[TESTLAB] l\n[ISSUEDATE] d\n[MANUFAC] m\n[OTHER] TILT=INCLUDE was tried"
    assert read_lm63(lm63(keywords=keywords)).tilt is None


@pytest.mark.parametrize(
    ("change", "factor"),
    [
        pytest.param({"multiplier": "2"}, 2.0, id="10 multiplier"),
        pytest.param({"second": "0.9 1 24"}, 0.9, id="11 ballast factor"),
        pytest.param({"lamps": "24", "lumens": "-1"}, 1.0, id="9 absolute values never times the lamps"),
        pytest.param({"lamps": "2", "lumens": "1000"}, 1.0, id="9 relative values neither"),
        pytest.param({"second": "0.9 0.5 24", "multiplier": "2"}, 1.8, id="12 field 12 of 2002 scales nothing"),
        pytest.param(
            {"second": "0.9 0.5 24", "multiplier": "2", "first": "IESNA91"}, 0.9, id="12 field 12 of 1991 scales"
        ),
        pytest.param({"second": "1 0.5 24", "first": "old"}, 0.5, id="12 field 12 of 1986 scales"),
    ],
)
def test_13_each_factor_once(lm63: Write, change: dict[str, str], factor: float) -> None:
    file = read_lm63(lm63(**change))
    assert file.distribution.candela[0].tolist() == pytest.approx([100 * factor, 50 * factor, 0])
    assert file.factor == pytest.approx(factor)


def test_3_the_factor_of_1986_is_told_where_the_edition_is_a_guess(lm63: Write) -> None:
    file = read_lm63(lm63(first="", second="1 0.5 10"))
    assert [one.code for one in file.warnings] == [3, 3]
    assert file.distribution.candela.max() == 50


def test_14_very_long_lines(lm63: Write) -> None:
    v = [f"{90 * i / 399:.4f}" for i in range(400)]
    file = read_lm63(lm63(v=" ".join(v), candela=" ".join(["7"] * 399 + ["0"])))
    assert file.warnings == () and file.distribution.vertical_deg.size == 400


def test_19_decimal_commas_give_the_numbers_meant(lm63: Write) -> None:
    file = read_lm63(lm63(multiplier="1,5", v="0 22,5 90", second="1,0 1 10"))
    assert file.distribution.vertical_deg.tolist() == [0, 22.5, 90]
    assert file.distribution.candela.max() == 150
    assert [(one.code, one.line) for one in file.warnings] == [(19, 7), (43, 9)]


def test_19_decimal_commas_that_fit_nothing_are_named(lm63: Write) -> None:
    for candela, code in (("100,5 50,5 0,5 1,5 2,5", 25), ("100,5", 24), ("1,5 x 3", 27)):
        with pytest.raises(PhotometricError) as caught:
            read_lm63(lm63(candela=candela))
        assert caught.value.code == code and ("decimal comma" in str(caught.value)) == (code != 27)


def test_18_a_comma_that_fits_as_a_delimiter_is_one(lm63: Write) -> None:
    file = read_lm63(lm63(counts="3,1", v="0,45,90", candela="100,50,0"))
    assert file.distribution.vertical_deg.tolist() == [0, 45, 90] and file.warnings == ()


def test_28_byte_order_mark(lm63: Write) -> None:
    assert codes(read_lm63(b"\xef\xbb\xbf" + lm63())) == {28}


def test_29_western_code_page_and_bytes_of_no_code(lm63: Write) -> None:
    file = read_lm63(lm63().replace(b"[TEST] t", b"[TEST] 60\xb0 \xa0 \x81"))
    assert file.text("TEST").startswith("60°") and codes(file) == {29}


def test_30_utf_16(lm63: Write) -> None:
    text = lm63().decode("ascii")
    assert codes(read_lm63(text.encode("utf-16"))) == {30}
    assert codes(read_lm63(b"\xfe\xff" + text.encode("utf-16-be"))) == {30}
    with pytest.raises(PhotometricError, match="UTF-16") as caught:
        read_lm63(text.encode("utf-16-le"))
    assert caught.value.code == 30


@pytest.mark.parametrize("end", [b"\n", b"\r\n", b"\r", b"\n\r\n"], ids=["LF", "CRLF", "CR", "mixed"])
def test_31_line_ends(lm63: Write, end: bytes) -> None:
    file = read_lm63(lm63().replace(b"\n", end))
    assert file.warnings == () and file.keywords[0] == ("TEST", "t")
    with pytest.raises(PhotometricError) as caught:
        read_lm63(lm63(candela="100 x 0").replace(b"\n", end))
    lines = {b"\n\r\n": 21}.get(end, 11)
    assert (caught.value.line, caught.value.column) == (lines, 5)


def test_33_keywords_stay_in_order_and_repeat(lm63: Write) -> None:
    text = "[TEST] a\n[more] b\n[OTHER]c\n[ISSUEDATE] d\n[_MY OWN KEYWORD OF SOME LENGTH]  e  \n[OTHER]"
    file = read_lm63(lm63(first="IESNA:LM-63-1995", keywords=text))
    assert file.keywords == (
        ("TEST", "a"),
        ("MORE", "b"),
        ("OTHER", "c"),
        ("ISSUEDATE", "d"),
        ("_MY OWN KEYWORD OF SOME LENGTH", "e"),
        ("OTHER", ""),
    )
    assert file.text("TEST") == "a b" and file.text("OTHER") == "c" and file.text("NONE") == ""


def test_35_plane_0_rules(lm63: Write) -> None:
    file = read_lm63(lm63(h="0 90 180 270 360", candela=rows("9 5 0", "9 5 0", "9 5 0", "9 5 0", "9 6 0")))
    assert float(file.distribution.candela_at(360, 45)) == 5


def test_41_directions_outside_get_nothing(lm63: Write) -> None:
    file = read_lm63(lm63(v="0 20 50", candela="100 90 80"))
    assert file.distribution.candela_at(0, [50, 50.001, 180]).tolist() == [80, 0, 0]


def test_47_types_point_where_they_say(lm63: Write) -> None:
    for kind, way in (("2", direction("B", -30, 20)), ("3", direction("A", -30, 20))):
        candela = rows("0 0 0 0", "0 0 77 0", "0 0 0 0", "0 0 0 0")
        file = read_lm63(lm63(kind=kind, h="-90 -30 0 90", v="-90 0 20 90", candela=candela))
        assert float(file.distribution.intensity(way)) == pytest.approx(77)


def test_49_feet(lm63: Write) -> None:
    file = read_lm63(lm63(units="1", sizes="1 2 0"))
    assert file.opening.size_m == pytest.approx((0.6096, 0.3048, 0))


def test_51_slightly_negative_becomes_0(lm63: Write) -> None:
    assert read_lm63(lm63(candela="100 50 -0.9")).distribution.candela.min() == 0


def test_52_not_with_absolute_photometry(lm63: Write) -> None:
    assert read_lm63(lm63(lumens="-1", lamps="1")).warnings == ()
    assert read_lm63(lm63(lumens="1000")).rated_flux_lm == 1000


def test_53_both_figures_are_told(lm63: Write) -> None:
    keywords = "[TEST] t\n[TESTLAB] l\n[ISSUEDATE] d\n[MANUFAC] m\n[_LUMENS] 500 lm\n[_LAMPLUMENS] 900"
    file = read_lm63(lm63(keywords=keywords))
    assert "500" in file.warnings[0].sentence and f"{flux_lm(file.distribution):.4g}" in file.warnings[0].sentence
    assert len(file.warnings) == 1


def test_58_a_dark_lamp_is_a_lamp(lm63: Write) -> None:
    file = read_lm63(lm63(candela="0 0 0"))
    assert flux_lm(file.distribution) == 0
