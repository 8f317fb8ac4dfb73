"""Tilt tables of LM-63: in the file, beside it, broken in every way, and never applied by reading."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from scenelux.errors import PhotometricError
from scenelux.photometry import TiltTable, read_lm63

Write = Callable[..., bytes]

RECORD = "1\n3\n0 45 90\n1 .95 .9"


def including(lm63: Write, record: str = RECORD, **change: str) -> bytes:
    return lm63(tilt=f"TILT=INCLUDE\n{record}", **change)


def refused(data: bytes, **options: object) -> PhotometricError:
    with pytest.raises(PhotometricError) as caught:
        read_lm63(data, "lamp.ies", **options)
    return caught.value


def test_5_a_table_in_the_file_is_kept_and_not_applied(lm63: Write) -> None:
    file = read_lm63(including(lm63))
    assert file.tilt == TiltTable(1, (0, 45, 90), (1, 0.95, 0.9))
    assert file.warnings == () and file.factors == (("multiplier", 1.0), ("ballast factor", 1.0))
    assert file.distribution.candela[0].tolist() == [100, 50, 0]


@pytest.mark.parametrize("first", ["IESNA91", "IESNA:LM-63-1995", "IESNA:LM-63-2002", "IES:LM-63-2019", "free text"])
def test_every_edition_has_tables(lm63: Write, first: str) -> None:
    tilt = read_lm63(including(lm63, first=first, second="1 1 10")).tilt
    assert tilt is not None and tilt.factors == (1, 0.95, 0.9)


@pytest.mark.parametrize(
    "record",
    ["2\n3\n0\n45\n90\n1\n.95\n.9", "2\n3\n0,45,90\n1,.95,.9", "2\n\n3\n 0 45\t90 \n1. 0.95 +.9  "],
    ids=["a number a line", "commas", "blanks and tabs"],
)
def test_forms_of_the_record(lm63: Write, record: str) -> None:
    file = read_lm63(including(lm63, record))
    assert file.tilt == TiltTable(2, (0, 45, 90), (1, 0.95, 0.9)) and file.warnings == ()


def test_the_lamp_position_belongs_to_the_table(lm63: Write) -> None:
    keywords = "[TEST] t\n[TESTLAB] l\n[ISSUEDATE] d\n[MANUFAC] m\n[LAMPPOSITION] 30, 90"
    file = read_lm63(including(lm63, keywords=keywords))
    assert file.tilt is not None and file.tilt.lamp_position_deg == (30, 90) and file.warnings == ()


@pytest.mark.parametrize("text", ["", "horizontal", "0", "400,90", "0,190", "1e1,0", "nan,0"])
def test_108_a_lamp_position_that_is_none(lm63: Write, text: str) -> None:
    keywords = f"[TEST] t\n[TESTLAB] l\n[ISSUEDATE] d\n[MANUFAC] m\n[LAMPPOSITION] {text}"
    file = read_lm63(including(lm63, keywords=keywords))
    assert [(one.code, one.line) for one in file.warnings] == [(108, 6)]
    assert file.tilt is not None and file.tilt.lamp_position_deg is None


def test_7_fewer_factors_than_angles(lm63: Write) -> None:
    error = refused(including(lm63, "1\n3\n0 45 90\n1 .95"))
    assert (error.code, error.line) == (7, 10)
    assert "TILT factors end after 2 of 3 numbers" in str(error) and "TILT record" in str(error)


def test_7_fewer_angles_than_announced(lm63: Write) -> None:
    error = refused(including(lm63, "1\n3\n0 45\n90 1 .95"))
    assert (error.code, error.line) == (7, 9) and "TILT angles end after 2 of 3 numbers" in str(error)


def test_15_a_list_that_goes_on(lm63: Write) -> None:
    error = refused(including(lm63, "1\n3\n0 45 90 1\n.95 .9"))
    assert (error.code, error.line, error.column) == (15, 9, 9) and "TILT angles" in str(error)
    error = refused(including(lm63, "1\n3\n0 45 90\n1 .95 .9 .8"))
    assert (error.code, error.line) == (15, 10) and "TILT factors" in str(error) and "TILT record" in str(error)


def test_15_geometry_and_pairs_on_one_line_are_told(lm63: Write) -> None:
    file = read_lm63(including(lm63, "1 3\n0 45 90\n1 .95 .9"))
    assert [(one.code, one.line) for one in file.warnings] == [(15, 7)] and file.tilt is not None


@pytest.mark.parametrize(
    ("record", "code", "line", "words"),
    [
        ("1\n3\n0 45 90\n1 .95.94", 23, 10, '".95.94"'),
        ("1\n3\n0 45 90\n1 .95 x", 27, 10, '"x"'),
        ("1\n3\n0 45 90\n1 .95 nan", 22, 10, '"nan"'),
        ("1\n3\n0 90 45\n1 .95 .9", 45, 9, "45 follows 90"),
        ("1\n3\n0 45 90\n1 .95 -.9", 61, 10, "negative"),
        ("1\n3\n0 45 90\n1 .95 9000", 22, 10, "too large"),
        ("1\n3\n-90 0 90\n1 .95 .9", 107, 9, "-90 to 90"),
        ("1\n3\n0 90 270\n1 .95 .9", 107, 9, "0 to 270"),
        ("1\n0\n0 45 90\n1 .95 .9", 57, 8, "is 0"),
        ("1\n99999\n0 45 90\n1 .95 .9", 57, 8, "10000"),
        ("1\n400\n0 45 90\n1 .95 .9", 24, 9, "TILT angles are too few: expected 400, found"),
        ("4\n3\n0 45 90\n1 .95 .9", 107, 7, "lamp geometry"),
        ("1.5\n3\n0 45 90\n1 .95 .9", 21, 7, '"1.5"'),
        ("1\n3e0\n0 45 90\n1 .95 .9", 20, 8, '"3e0"'),
    ],
)
def test_broken_tables(lm63: Write, record: str, code: int, line: int, words: str) -> None:
    error = refused(including(lm63, record))
    assert (error.code, error.line) == (code, line) and words in str(error) and "TILT" in str(error)


def test_19_decimal_commas_reach_into_the_table(lm63: Write) -> None:
    file = read_lm63(including(lm63, "1\n3\n0 45 90\n1,0 0,95 0,9"))
    assert file.tilt == TiltTable(1, (0, 45, 90), (1, 0.95, 0.9)) and {one.code for one in file.warnings} == {19}
    error = refused(including(lm63, "1\n3\n0 45 90\n1,0 0,95 0,9 7"))
    assert "decimal point" in str(error)


def test_107_a_range_that_no_edition_names(lm63: Write) -> None:
    file = read_lm63(including(lm63, "1\n2\n0 60\n1 .9"))
    assert [(one.code, one.line) for one in file.warnings] == [(107, 9)]
    assert file.tilt is not None and np.isnan(file.tilt.factor_at(61))


def beside(files: dict[str, bytes]) -> tuple[Callable[[str], bytes | None], list[str]]:
    asked: list[str] = []

    def neighbour(name: str) -> bytes | None:
        asked.append(name)
        return files.get(name)

    return neighbour, asked


def test_a_tilt_file_beside_the_file(lm63: Write) -> None:
    neighbour, asked = beside({"lamp.tlt": b"3\r\n2\r\n0 180\r\n1 0.5\r\n"})
    file = read_lm63(lm63(tilt="TILT=lamp.tlt"), neighbour=neighbour)
    assert file.tilt == TiltTable(3, (0, 180), (1, 0.5)) and file.warnings == () and asked == ["lamp.tlt"]


def test_6_a_missing_tilt_file_counts_as_1(lm63: Write) -> None:
    for neighbour in (None, beside({})[0]):
        file = read_lm63(lm63(tilt="TILT=lamp.tlt"), neighbour=neighbour)
        assert file.tilt is None
        assert [(one.code, one.line) for one in file.warnings] == [(6, 6)] and '"lamp.tlt"' in file.warnings[0].sentence


@pytest.mark.parametrize("name", ["../lamp.tlt", "a/lamp.tlt", "C:\\TILT\\lamp.tlt", "..", ".", "/etc/x", "x" * 300])
def test_6_only_a_plain_name_is_looked_for(lm63: Write, name: str) -> None:
    neighbour, asked = beside({name: b"1\n1\n0\n1\n"})
    file = read_lm63(lm63(tilt=f"TILT={name}"), neighbour=neighbour)
    assert asked == [] and file.tilt is None and [one.code for one in file.warnings] == [6]


def test_6_the_edition_of_2019_has_no_tilt_files(lm63: Write) -> None:
    file = read_lm63(lm63(first="IES:LM-63-2019", tilt="TILT=a.tlt"), neighbour=beside({"a.tlt": b"1\n1\n0\n1"})[0])
    assert [one.code for one in file.warnings] == [6, 107] and "2019" in file.warnings[0].sentence


def test_faults_of_a_tilt_file_name_it(lm63: Write) -> None:
    data = lm63(tilt="TILT=lamp.tlt")
    error = refused(data, neighbour=beside({"lamp.tlt": b"1\n2\n0 90\n1 x\n"})[0])
    assert str(error).startswith("lamp.tlt:4:3:") and error.code == 27
    for text, code in ((b"1\n2\n0 90\n1\n1 2\n", 7), (b"1\n2\n0 90\n1 1\n5", 25), (b"", 59), (b"1 " * 600_000, 57)):
        assert refused(data, neighbour=beside({"lamp.tlt": text})[0]).code == code
    file = read_lm63(data, neighbour=beside({"lamp.tlt": b"\xef\xbb\xbf1\n2\n0 90\n1 1,5E-1\nend"})[0])
    assert {one.code for one in file.warnings} == {19, 20, 26, 28}
    assert all("tilt file lamp.tlt, line" in one.sentence and one.line == 6 for one in file.warnings)


def test_a_table_answers_inside_its_range_only() -> None:
    table = TiltTable(1, (0, 45, 90), (1, 0.95, 0.9))
    assert [table.factor_at(one) for one in (0, 22.5, 90)] == pytest.approx([1, 0.975, 0.9])
    assert table.factor_at(112.5) == pytest.approx(table.factor_at(67.5)) and table.factor_at(180) == 1
    whole = TiltTable(1, (0, 90, 180), (1, 0.9, 0.5))
    assert whole.factor_at(135) == pytest.approx(0.7)
    assert np.isnan([whole.factor_at(one) for one in (-1, 181)]).all() and np.isnan(table.factor_at(-1))
