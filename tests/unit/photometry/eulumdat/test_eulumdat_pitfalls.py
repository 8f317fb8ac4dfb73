"""Faults of EULUMDAT files by their stable number: what is taken silently, taken with a warning, or refused.

The identifier of each case begins with the number; numbers from 110 on are of this format alone.
"""

from __future__ import annotations

import contextlib
import time
from typing import Any

import numpy as np
import pytest
from eulumdat_by_line import ONE_SET, eulumdat

from scenelux.errors import InputError, LimitError, PhotometricError
from scenelux.names import LARGEST_PHOTOMETRIC_BYTES
from scenelux.photometry import PhotometricFile
from scenelux.photometry.eulumdat.read import read_eulumdat

CIRCLE = (0, 90, 180, 270)
FOUR = [[9, 5, 0]] * 4
GAMMA = (0, 45, 90)


def codes(file: PhotometricFile) -> set[int]:
    return {one.code for one in file.warnings}


def dim(**change: Any) -> bytes:
    """A lamp of 9 cd per klm, about which there is nothing to say."""
    return eulumdat(**({"gamma": GAMMA, "rows": [[9, 5, 0]]} | change))


def lamp(count: str = "1", flux: str = "1000", watts: str = "24") -> tuple[tuple[str, str, str, str, str, str]]:
    return ((count, "LED", flux, "", "", watts),)


def test_nothing_to_say() -> None:
    assert read_eulumdat(dim()).warnings == ()


ACCEPTED: list[tuple[str, dict[str, Any]]] = [
    ("8 negative number of lamps", {"sets": lamp(count="-1")}),
    ("16 blank lines among the numbers", {"gamma": ("0", "45\r\n", "90\r\n\r\n")}),
    ("16 blanks alone on lines among the numbers", {"gamma": ("0", "45\r\n  ", "90\r\n\t\r\n")}),
    ("16 blank lines at the end", {"rest": ("", "", "")}),
    ("17 tabs and blanks around a number", {"gamma": ("\t0", " 45 ", "90\t"), "lorl": " 0\t"}),
    ("21 whole numbers with a point", {"symmetry": "1.0", "number_of_gammas": "3.", "number_of_planes": "1.00"}),
    ("31 LF alone", {"end": "\n"}),
    ("31 CR alone", {"end": "\r"}),
    ("34 the circle has no plane 360", {"symmetry": 0, "c": CIRCLE, "rows": FOUR}),
    ("44 very coarse grid", {"gamma": (0, 45, 90), "rows": [[3, 2, 0]]}),
    ("110 the last fields of a lamp set are empty", {"sets": lamp(watts="")}),
]


@pytest.mark.parametrize("change", [row[1] for row in ACCEPTED], ids=[row[0] for row in ACCEPTED])
def test_accepted(change: dict[str, Any]) -> None:
    file = read_eulumdat(dim(**change))
    assert file.warnings == ()
    assert file.distribution.vertical_deg.tolist() == [0, 45, 90]
    assert file.distribution.candela[:, 0] == pytest.approx(file.distribution.candela[0, 0])


WARNED: list[tuple[str, dict[str, Any]]] = [
    ("19 decimal commas in the table", {"gamma": ("0", "22,5", "90")}),
    ("19 decimal comma in a field", {"sets": lamp(flux="1000,0")}),
    ("20 exponents in the table", {"rows": [["9E0", "5.0d0", "0e1"]]}),
    ("20 exponent in a field", {"sets": lamp(flux="1e3")}),
    ("26 END", {"rest": ("END",)}),
    ("29 letters of the Western code page", {"company": "Löwenlicht"}),
    ("29 letters of UTF-8", {"company": "Löwenlicht", "code_page": "utf-8"}),
    ("28 byte order mark", {"company": "\ufeffInvented", "code_page": "utf-8"}),
    ("30 UTF-16", {"company": "Invented", "code_page": "utf-16"}),
    ("35 planes 0 and 360 differ", {"symmetry": 0, "c": (0, 120, 240, 360), "rows": [*[[9, 5, 0]] * 3, [9, 6, 0]]}),
    ("39 part of the gamma angles", {"gamma": (0, 20, 50)}),
    ("40 cut edge", {"rows": [[9, 5, 3]]}),
    ("42 planes disagree at the pole", {"symmetry": 0, "c": CIRCLE, "rows": [*[[9, 5, 0]] * 3, [8, 5, 0]]}),
    ("43 gap of gamma", {"gamma": (0, 50, 90)}),
    ("51 slightly negative", {"rows": [[9, 5, -0.05]]}),
    ("52 more flux than the lamps have", {"rows": [[900, 900, 0]]}),
    ("54 radiant data", {"texts": ("values in mW/sr", "", "", "", "")}),
    ("58 all dark", {"rows": [[0, 0, 0]]}),
    ("61 lamp flux 0", {"sets": lamp(flux="0")}),
    ("61 conversion factor 0", {"conversion": "0"}),
    ("104 no lamp", {"sets": lamp(count="0")}),
    ("105 opening in the wrong unit", {"opening_mm": (240000, 120, 0, 0, 0, 0)}),
    ("106 negative watts", {"sets": lamp(watts="-3")}),
    ("110 empty numbers", {"dff": "", "conversion": ""}),
    ("110 empty direct ratios", {"ratios": [""] * 10}),
    ("113 conversion factor", {"conversion": "0.9"}),
    ("114 two lamp sets", {"sets": (ONE_SET, ONE_SET)}),
    ("115 light output ratio", {"lorl": "80"}),
    ("116 heights differ", {"opening_mm": (240, 120, 1, 2, 1, 2)}),
    ("117 measured tilted", {"tilt": "15"}),
    ("118 one plane listed of many", {"number_of_planes": "24"}),
    ("119 negative size", {"opening_mm": (-240, 120, 0, 0, 0, 0)}),
]


@pytest.mark.parametrize(("name", "change"), WARNED, ids=[row[0] for row in WARNED])
def test_warned(name: str, change: dict[str, Any]) -> None:
    file = read_eulumdat(dim(**change))
    assert int(name.split()[0]) in codes(file)
    assert all(len(one.sentence) > 10 and not one.sentence.endswith(".") for one in file.warnings)


REFUSED: list[tuple[str, dict[str, Any], int, str]] = [
    (
        "15 several numbers on a line",
        {"gamma": ("0 45 90",), "number_of_gammas": "3", "rest": "12"},
        44,
        "gamma angle (field 29)",
    ),
    ("19 decimal comma in a whole number", {"symmetry": "1,5"}, 3, "symmetry (field 3)"),
    ("20 exponent in a whole number", {"symmetry": "1e0"}, 3, "symmetry (field 3)"),
    ("21 part of a plane", {"number_of_planes": "1.5"}, 4, "number of C-planes (field 4)"),
    ("22 nan", {"rows": [[9, "nan", 0]]}, 48, "intensity (field 30)"),
    ("22 inf", {"lorl": "inf"}, 23, "light output ratio (field 23)"),
    ("22 hexadecimal", {"rows": [[9, "0x1F", 0]]}, 48, "intensity (field 30)"),
    ("22 underscore", {"rows": [[9, "1_000", 0]]}, 48, "intensity (field 30)"),
    ("22 too large", {"rows": [[9, "1e999", 0]]}, 48, "intensity (field 30)"),
    ("22 too large in a field", {"sets": lamp(flux="9e999")}, 29, "lamp flux (field 26c)"),
    ("22 larger than any lamp", {"rows": [[9, "1e300", 0]]}, 47, "candela"),
    ("23 numbers run together", {"rows": [[9, ".95.94", 0]]}, 48, "intensity (field 30)"),
    ("23 thousands and decimals", {"sets": lamp(flux="1.000,5")}, 29, "lamp flux (field 26c)"),
    ("24 one intensity is missing", {"rows": [[9, 5]]}, 48, "angles and intensities (fields 28 to 30)"),
    ("24 more planes announced", {"symmetry": 0, "number_of_planes": "7"}, 49, "angles and intensities"),
    ("24 an intensity is empty", {"rows": [[9, "", 0]]}, 48, "intensity (field 30)"),
    ("24 the flux is empty", {"sets": lamp(flux="")}, 29, "lamp flux (field 26c)"),
    ("24 a count is empty", {"symmetry": ""}, 3, "symmetry (field 3)"),
    ("25 lines left over", {"rest": ("7", "7")}, 50, "lines"),
    ("25 a whole table left over", {"rest": ["7"] * 5000}, 43, "lines"),
    ("27 text in the table", {"rows": [[9, "bright", 0]]}, 48, "intensity (field 30)"),
    ("27 text in a field", {"dff": "all"}, 22, "downward flux fraction (field 22)"),
    ("27 unit behind the number", {"sets": lamp(watts="24 W")}, 32, "watts (field 26f)"),
    ("39 gamma beyond 180", {"gamma": (0, 90, 190)}, 44, "gamma angles (field 29)"),
    ("45 gamma goes back", {"gamma": (0, 90, 45)}, 44, "gamma angles (field 29)"),
    ("45 a plane twice", {"symmetry": 0, "c": (0, 90, 90, 270), "rows": FOUR}, 43, "C-angles (field 28)"),
    ("51 negative", {"rows": [[9, -1, 0]]}, 47, "candela"),
    ("57 no planes", {"number_of_planes": "0"}, 4, "number of C-planes (field 4)"),
    ("57 negative planes", {"number_of_planes": "-24"}, 4, "number of C-planes (field 4)"),
    ("57 one gamma angle", {"number_of_gammas": "1"}, 6, "number of gamma angles (field 6)"),
    ("57 absurd counts", {"number_of_planes": "9" * 300, "symmetry": 0}, 4, "number of C-planes (field 4)"),
    ("57 no lamp set", {"number_of_sets": "0"}, 26, "number of lamp sets (field 26)"),
    ("57 absurd lamp sets", {"number_of_sets": "1000000"}, 26, "number of lamp sets (field 26)"),
    ("61 negative conversion factor", {"conversion": "-1"}, 24, "conversion factor (field 24)"),
    ("61 negative flux", {"sets": lamp(flux="-1000")}, 29, "lamp flux (field 26c)"),
    ("111 symmetry 5", {"symmetry": "5"}, 3, "symmetry (field 3)"),
    ("111 negative symmetry", {"symmetry": "-1"}, 3, "symmetry (field 3)"),
    ("112 planes that 4 does not divide", {"symmetry": 4, "c": (0, 30, 60, 90, 180, 270)}, 4, "number of C-planes"),
    ("112 planes that 2 does not divide", {"symmetry": 2, "c": (0, 90, 180)}, 4, "number of C-planes (field 4)"),
    ("112 symmetry 0 with one plane", {"symmetry": 0}, 4, "number of C-planes (field 4)"),
    ("112 symmetry 2 ends early", {"symmetry": 2, "c": (0, 90, 170, 270), "rows": FOUR[:3]}, 43, "C-angles (field 28)"),
    ("112 symmetry 3 begins late", {"symmetry": 3, "c": (0, 90, 180, 280), "rows": FOUR[:3]}, 43, "C-angles"),
    ("112 symmetry 4 ends late", {"symmetry": 4, "c": (0, 95, 180, 270), "rows": FOUR[:2]}, 43, "C-angles (field 28)"),
    ("112 symmetry 0 is no circle", {"symmetry": 0, "c": (0, 30, 60, 90), "rows": FOUR}, 43, "C-angles (field 28)"),
    ("112 symmetry 0 begins late", {"symmetry": 0, "c": (30, 120, 210, 300), "rows": FOUR}, 43, "C-angles (field 28)"),
]


@pytest.mark.parametrize(("name", "change", "line", "key"), REFUSED, ids=[row[0] for row in REFUSED])
def test_refused(name: str, change: dict[str, Any], line: int, key: str) -> None:
    with pytest.raises(PhotometricError) as caught:
        read_eulumdat(dim(**change), "lamp.ldt")
    error = caught.value
    assert (error.code, error.line, error.file) == (int(name.split()[0]) if name[:2] != "19" else 21, line, "lamp.ldt")
    assert (error.key or "").startswith(key), str(error)
    assert error.accepted, str(error)
    assert str(error).endswith(".") and "\n" not in str(error)


def test_a_symmetry_that_would_fit_is_named() -> None:
    with pytest.raises(PhotometricError, match=r"expected|symmetry 0 would fit") as caught:
        read_eulumdat(dim(symmetry=4, c=CIRCLE, rows=FOUR))
    assert "symmetry 0 would fit" in str(caught.value)


def test_expected_and_found_are_told() -> None:
    with pytest.raises(PhotometricError, match=r"expected 7 lines, found 6"):
        read_eulumdat(dim(rows=[[9, 5]]))
    with pytest.raises(PhotometricError, match=r"2 more than the table needs"):
        read_eulumdat(dim(rest=("7", "7")))


@pytest.mark.parametrize("line", range(1, 49))
def test_a_file_that_ends_early_says_where(line: int) -> None:
    whole = dim().split(b"\r\n")
    with pytest.raises(PhotometricError) as caught:
        read_eulumdat(b"\r\n".join(whole[:line]))
    assert caught.value.code == 24 and caught.value.line is not None and caught.value.line <= line


@pytest.mark.parametrize(
    "data", [b"", b" \r\n\r\n", b"\0\0\0", b"\x1a"], ids=["nothing", "blanks", "zeros", "control z"]
)
def test_59_empty(data: bytes) -> None:
    with pytest.raises(PhotometricError, match="empty"):
        read_eulumdat(data)


def test_57_too_many_bytes_or_intensities() -> None:
    with pytest.raises(LimitError, match="32 MB"):
        read_eulumdat(b"1\n" * (LARGEST_PHOTOMETRIC_BYTES // 2 + 1))
    with pytest.raises(PhotometricError, match="4 million"):
        read_eulumdat(dim(symmetry=0, number_of_planes="2001", number_of_gammas="2000"))


def test_26_control_z_and_zeros_behind_the_table() -> None:
    assert read_eulumdat(dim() + b"\x1a").warnings == ()
    assert read_eulumdat(dim() + b"\0\0\r\n").warnings == ()


def test_13_the_conversion_factor_is_applied_once_to_every_intensity() -> None:
    plain, scaled = read_eulumdat(dim()), read_eulumdat(dim(conversion="0.25"))
    assert scaled.distribution.candela == pytest.approx(0.25 * plain.distribution.candela)


@pytest.mark.parametrize("count", [1, 2, 24])
def test_9_the_number_of_lamps_scales_nothing(count: int) -> None:
    assert read_eulumdat(dim(sets=lamp(count=str(count)))).distribution.candela[0].tolist() == [9, 5, 0]


def test_41_no_light_beyond_the_listed_gamma_angles() -> None:
    one = read_eulumdat(dim(gamma=(0, 20, 50), rows=[[9, 5, 4]])).distribution
    assert one.candela_at(0, [50, 50.001, 90, 180]).tolist() == [4, 0, 0, 0]


def test_8_megabytes_in_a_second() -> None:
    planes, gammas = 1000, 1000
    row = "123.45\r\n" * gammas
    angles = [np.round(np.linspace(0, 360, planes, endpoint=False), 6), np.round(np.linspace(0, 180, gammas), 6)]
    data = eulumdat(0, *(one.tolist() for one in angles), ()) + (row * planes).encode()
    assert 8e6 < len(data) < 9e6
    started = time.perf_counter()
    file = read_eulumdat(data)
    assert time.perf_counter() - started < 3  # 0.4 s on an idle machine
    assert file.distribution.candela.shape == (1001, 1000)


NONSENSE = {"line ends": b"\n" * 8_000_000, "blanks": b" " * 8_000_000, "ones": b"1\n" * 4_000_000}


@pytest.mark.parametrize("text", NONSENSE.values(), ids=NONSENSE)
def test_8_megabytes_of_nonsense_end_quickly(text: bytes) -> None:
    for before in (b"x\n", dim()):
        started = time.perf_counter()
        with contextlib.suppress(InputError):
            read_eulumdat(before + text + b"z")
        assert time.perf_counter() - started < 3
