"""Spectra are read as laboratories write them, and what cannot be used is told in one sentence."""

from __future__ import annotations

import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scenelux.colour import Spectrum, chromaticity_of, read_spectrum, sp_ratio_of, spectrum_of
from scenelux.errors import InputError

NM = range(380, 785, 5)


def rows(mark: str = ",", point: str = ".", end: str = "\n") -> str:
    return "".join(f"{nm}{mark}{f'{0.5 + nm / 1000:.4f}'.replace('.', point)}{end}" for nm in NM)


def same(first: Spectrum, second: Spectrum) -> bool:
    return np.array_equal(first.wavelength_nm, second.wavelength_nm) and np.array_equal(first.power, second.power)


PLAIN = read_spectrum(rows().encode(), "plain.csv")


@pytest.mark.parametrize(
    "text",
    [
        "wavelength,power\n" + rows(),
        "# Invented\n\n# for a test\nnm,W/m2/nm\n" + rows(),
        rows(end="\r\n"),
        rows(end="\r"),
        rows(mark=";"),
        rows(mark=";", point=","),
        "Wellenlänge;Leistung\n" + rows(mark=" ; ", point=","),
        rows(mark="\t", point=","),
        rows(mark="\t"),
        rows(end=",\n"),
        rows(end="   # noise\n"),
        '"nm","power"\n'
        + rows().replace(",", '","').replace("\n", '"\n').replace("38", '"38', 1).replace('"\n', '"\n'),
    ],
)
def test_forms_of_a_table(text: str) -> None:
    assert same(read_spectrum(text.encode(), "x.csv"), PLAIN)


@pytest.mark.parametrize("coding", ["utf-8-sig", "utf-16", "cp1252"])
def test_codings(coding: str) -> None:
    assert same(read_spectrum(("Länge;µW\n" + rows(";")).encode(coding), "x.csv"), PLAIN)


def test_exponents() -> None:
    text = "".join(f"{nm}.0,{0.5 + nm / 1000:.6e}\n" for nm in NM)
    assert read_spectrum(text.encode(), "x.csv").power == pytest.approx(PLAIN.power, rel=1e-6)


def lines_with(at: int, text: str) -> str:
    lines = rows().splitlines()
    lines[at] = text
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "x.csv: is an empty file; give rows of wavelength [nm] and power, parted by comma, semicolon or tab."),
        ("# only a comment\n", "x.csv: is an empty file; give rows of wavelength [nm] and power, parted by comma, "
                               "semicolon or tab."),
        ("wavelength,power\n", "x.csv: covers nothing; give at least 400 to 700 nm."),
        (lines_with(3, "395,nan"),
         'x.csv:4: "nan" is not a number; give digits with a decimal point, such as 0.125 or 1.25e-1.'),
        (lines_with(3, "395,0x1p3"),
         'x.csv:4: "0x1p3" is not a number; give digits with a decimal point, such as 0.125 or 1.25e-1.'),
        (lines_with(3, "395,1_0"),
         'x.csv:4: "1_0" is not a number; give digits with a decimal point, such as 0.125 or 1.25e-1.'),
        (lines_with(3, "395,1e999"), 'x.csv:4: "1e999" is too large a number.'),
        (lines_with(3, "395,0,5"),
         'x.csv:4: "395,0,5" has 3 columns; give rows of wavelength [nm] and power, parted by comma, semicolon or '
         "tab."),
        (lines_with(3, "395 0.5"),
         'x.csv:4: "395 0.5" has only one number; give rows of wavelength [nm] and power, parted by comma, semicolon '
         "or tab."),
        ("a,b\nc,d\n" + rows(),
         'x.csv:2: "c" is not a number; give digits with a decimal point, such as 0.125 or 1.25e-1.'),
        (lines_with(3, "390,0.5"), "x.csv: goes from 390 to 390 nm; give rising wavelengths, each once."),
        ("".join(reversed(rows().splitlines(keepends=True))),
         "x.csv: goes from 780 to 775 nm; give rising wavelengths, each once."),
        ("299,1\n" + rows(), "x.csv: has a wavelength of 299 nm; give wavelengths from 300 to 1000 nm."),
        (rows() + "1001,1\n", "x.csv: has a wavelength of 1001 nm; give wavelengths from 300 to 1000 nm."),
        ("".join(f"{nm},1\n" for nm in range(410, 785, 5)),
         "x.csv: covers 410 to 780 nm; give at least 400 to 700 nm."),
        ("".join(f"{nm},1\n" for nm in range(380, 790, 20)),
         "x.csv: has a step of 20 nm from 400 nm; give steps of at most 10 nm from 400 to 700 nm."),
        ("".join(f"{nm},0\n" for nm in NM), "x.csv: has no power at any wavelength; give rows of wavelength [nm] and "
                                            "power, parted by comma, semicolon or tab."),
        (lines_with(3, "395,-0.1"), "x.csv: has a power of -7.81 % of the largest; give powers of zero or more."),
    ],
)  # fmt: skip
def test_wrong_tables(text: str, sentence: str) -> None:
    with pytest.raises(InputError) as caught:
        read_spectrum(text.encode(), "x.csv")
    assert str(caught.value) == sentence


@pytest.mark.parametrize("data", [b"380,1\0\n", b"\x89PNG\r\n\x1a\n\0\0", b"%PDF-1.4\n", b"\xff\xfe\x00"])
def test_other_files(data: bytes) -> None:
    with pytest.raises(InputError):
        read_spectrum(data, "x.csv")


def test_limits_before_any_work() -> None:
    with pytest.raises(InputError, match=r"is a file of 1\.5 MB; a spectrum has at most 1 MB"):
        read_spectrum(b"1" * 1_500_000, "x.csv")
    with pytest.raises(InputError, match=r"has 30,000 rows; a spectrum has at most 20,000"):
        read_spectrum(b"380,1\n" * 30_000, "x.csv")
    start = time.perf_counter()
    for hostile in (b"9" * 999_999, b"," * 999_999, b";" * 999_999, b"380,1" + b"0" * 999_000, b"1e" * 400_000):
        with pytest.raises(InputError):
            read_spectrum(hostile, "x.csv")
    assert time.perf_counter() - start < 5.0


@given(st.binary(max_size=400) | st.text("0123456789.,;\t \n#eE+-x", max_size=400).map(str.encode))
@settings(max_examples=150)
def test_any_bytes(data: bytes) -> None:
    try:
        read_spectrum(data, "x.csv")
    except InputError as error:
        assert str(error).endswith(".")


@given(st.lists(st.floats(0.0, 1e300), min_size=81, max_size=81))
@settings(max_examples=50)
def test_any_powers(power: list[float]) -> None:
    if not max(power) > 0.0:
        return
    x, y = chromaticity_of(spectrum_of(list(NM), power))
    assert np.isnan(x) or (0.0 <= x <= 0.75 and 0.0 <= y <= 0.85)


def test_noise_below_zero_is_told() -> None:
    power = np.ones(81)
    power[3] = -0.01
    found = spectrum_of(list(NM), power)
    assert found.power[3] == 0.0 and found.notes == ("1 powers below zero count as 0",)


def test_a_short_spectrum_is_told() -> None:
    found = spectrum_of(np.arange(400, 701, 10), np.ones(31))
    assert found.notes == ("the spectrum ends at 400 and 700 nm and counts as 0 outside",)
    assert spectrum_of(list(NM), np.ones(81)).notes == ()


@pytest.mark.parametrize("scale", [1e-300, 1e-9, 1.0, 1e300])
def test_the_unit_of_power_does_not_matter(scale: float) -> None:
    power = 0.5 + np.arange(380, 785, 5) / 1000.0
    found = spectrum_of(list(NM), power * scale)
    assert chromaticity_of(found) == pytest.approx(chromaticity_of(PLAIN), rel=1e-9)
    assert sp_ratio_of(found) == pytest.approx(sp_ratio_of(PLAIN), rel=1e-9)


def test_narrow_lines_between_whole_nanometres_count() -> None:
    """A line of a quarter of a nanometre is not lost between the nodes of the tables, and adds up with the rest."""
    nm = np.arange(380.0, 780.01, 0.05)
    line = np.where(np.abs(nm - 532.5) < 0.12, 1.0, 0.0)
    x, y = chromaticity_of(spectrum_of(nm, line))
    assert (x, y) == pytest.approx((0.1724, 0.7953), abs=2e-3)


def test_finer_steps_of_the_same_curve_are_the_same_light() -> None:
    def curve(nm: np.ndarray) -> np.ndarray:
        return np.exp(-(((nm - 560.0) / 60.0) ** 2))

    coarse, fine = (spectrum_of(nm, curve(nm)) for nm in (np.arange(380.0, 781.0, 5.0), np.arange(380.0, 780.1, 0.25)))
    assert chromaticity_of(coarse) == pytest.approx(chromaticity_of(fine), abs=3e-4)
    assert sp_ratio_of(coarse) == pytest.approx(sp_ratio_of(fine), rel=1e-3)


@pytest.mark.parametrize(
    ("nm", "power"), [([400.0], [1.0, 2.0]), ([[400.0]], [[1.0]]), ([400.0, float("nan")], [1.0, 1.0])]
)
def test_arrays_that_are_no_spectrum(nm: list[float], power: list[float]) -> None:
    with pytest.raises(InputError):
        spectrum_of(nm, power)
