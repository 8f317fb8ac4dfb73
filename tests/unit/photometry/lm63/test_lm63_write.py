from __future__ import annotations

import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scenelux.errors import UsageError
from scenelux.photometry import IntensityDistribution, Opening, flux_lm, read_lm63, write_lm63

KEYS = [("TEST", "t"), ("TESTLAB", "l"), ("ISSUEDATE", "d"), ("MANUFAC", "m")]


def lamp(kind: str, symmetry: str = "none", seed: int = 1) -> IntensityDistribution:
    rng = np.random.default_rng(seed)
    if kind == "C":
        h, v = np.array([0, 33.25, 90, 146.75, 180, 213.25, 270, 326.75, 360.0]), np.array([0, 12.5, 22.25, 90])
        c = rng.uniform(1, 9000, (9, 4))
        if symmetry == "rotational":
            c[:] = c[0]
        if symmetry in ("half", "quadrants"):
            c[5:] = c[3::-1]
        if symmetry == "quadrants":
            c[3:5] = c[1::-1]
            c[5:] = c[3::-1]
        c[-1] = c[0]
        return IntensityDistribution("C", h, v, c)
    h, v = np.array([-90, -20.5, 0, 20.5, 90]), np.array([-90, -7, 0, 7, 90.0])
    c = rng.uniform(1, 9000, (5, 5))
    if "H" in symmetry:
        c[3:] = c[1::-1]
    if "V" in symmetry:
        c[:, 3:] = c[:, 1::-1]
    return IntensityDistribution(kind, h, v, c)


CASES = [("C", one) for one in ("none", "half", "quadrants", "rotational")]
CASES += [(kind, one) for kind in ("A", "B") for one in ("none", "H", "V", "HV")]


@pytest.mark.parametrize(("kind", "symmetry"), CASES)
def test_what_is_written_reads_back(kind: str, symmetry: str) -> None:
    one = lamp(kind, symmetry)
    file = read_lm63(write_lm63(one, KEYS))
    assert {warning.code for warning in file.warnings} <= {40, 42, 43}
    assert file.edition == "2002" and file.absolute and file.factor == 1
    again = file.distribution
    assert again.photometric_type == kind
    assert again.horizontal_deg.tolist() == (one.horizontal_deg.tolist() if symmetry != "rotational" else [0, 360])
    assert again.vertical_deg.tolist() == one.vertical_deg.tolist()
    h, v = one.horizontal_deg[:, None], one.vertical_deg[None, :]
    assert again.candela_at(h, v) == pytest.approx(one.candela_at(h, v), rel=5.1e-6)
    assert flux_lm(again) == pytest.approx(flux_lm(one), rel=1e-5)


@pytest.mark.parametrize(
    ("kind", "symmetry", "h"),
    [
        ("C", "none", "0 33.25 90 146.75 180 213.25 270 326.75 360"),
        ("C", "half", "0 33.25 90 146.75 180"),
        ("C", "quadrants", "0 33.25 90"),
        ("C", "rotational", "0"),
        ("B", "none", "-90 -20.5 0 20.5 90"),
        ("B", "HV", "0 20.5 90"),
        ("A", "H", "0 20.5 90"),
        ("A", "V", "-90 -20.5 0 20.5 90"),
    ],
)
def test_only_exact_symmetry_is_left_out(kind: str, symmetry: str, h: str) -> None:
    lines = write_lm63(lamp(kind, symmetry), KEYS).decode("ascii").split("\r\n")
    assert lines[lines.index("TILT=NONE") + 4] == h
    if symmetry != "none":
        nearly = lamp(kind, symmetry)
        candela = nearly.candela.copy()
        candela[1, 1] *= 1 + 1e-12  # less than the file can tell
        other = IntensityDistribution(kind, nearly.horizontal_deg, nearly.vertical_deg, candela)
        assert write_lm63(other, KEYS).decode("ascii").split("\r\n") == lines
        candela[1, 1] *= 1 + 1e-5
        other = IntensityDistribution(kind, nearly.horizontal_deg, nearly.vertical_deg, candela)
        assert len(write_lm63(other, KEYS)) > len("\r\n".join(lines))


def test_form_of_the_file() -> None:
    text = write_lm63(lamp("C"), [*KEYS, ("OTHER", "word " * 60), ("LAMP", "Häll 60° – ✓\tend")], input_watts=24.5)
    assert text.startswith(b"IESNA:LM-63-2002\r\n") and text.endswith(b"\r\n")
    assert text.count(b"\n") == text.count(b"\r\n")
    lines = text.decode("ascii").split("\r\n")
    assert max(map(len, lines)) <= 132
    assert lines[lines.index("TILT=NONE") + 1] == "1 -1 1 4 9 1 2 0 0 0"
    assert lines[lines.index("TILT=NONE") + 2] == "1 1 24.5"
    assert any(line.startswith("[MORE] word") for line in lines)
    assert "[LAMP] Hall 60deg - ? end" in lines
    file = read_lm63(text)
    assert file.text("OTHER") == " ".join(["word"] * 60)
    assert not re.search(rb"[0-9][eE]", text.split(b"TILT=NONE")[1])


def test_required_keywords_are_there_and_order_stays() -> None:
    keywords = (("ISSUEDATE", "d"), ("_OWN", "1"), ("OTHER", "a"), ("", "free text"), ("OTHER", "b"))
    file = read_lm63(write_lm63(lamp("C"), keywords))
    assert file.keywords == (("TEST", "not stated"), ("TESTLAB", "not stated"), ("MANUFAC", "not stated"), *keywords)


def test_small_and_large_numbers_have_no_exponent() -> None:
    one = IntensityDistribution("C", [0, 360], [0, 1e-4, 90], [[1.234567e9, 3.25e-7, 1e-30]] * 2)
    data = write_lm63(one, KEYS)
    assert b"e" not in data.split(b"TILT=NONE")[1].lower()
    assert read_lm63(data).distribution.candela[0].tolist() == pytest.approx([1.23457e9, 3.25e-7, 0], rel=1e-5)


@pytest.mark.parametrize("v", [[0, 50], [0, 89.995], [10, 90], [20, 130], [100, 170], [0.005, 180]])
def test_a_table_that_stops_early_is_continued_with_0(v: list[float]) -> None:
    one = IntensityDistribution("C", [0, 360], v, [[100, 50]] * 2)
    file = read_lm63(write_lm63(one, KEYS))
    assert {warning.code for warning in file.warnings} <= {40, 43}
    low, high = file.distribution.vertical_deg[[0, -1]]
    assert low in (0, 90) and high in (90, 180)
    inside = np.linspace(v[0] + 0.02, v[1] - 0.02, 9)
    assert file.distribution.candela_at(0, inside) == pytest.approx(one.candela_at(0, inside), rel=1e-3)
    outside = np.array([a for a in np.linspace(0, 180, 1801) if a < v[0] - 0.02 or a > v[1] + 0.02])
    assert not file.distribution.candela_at(0, outside).any()


@pytest.mark.parametrize(
    ("opening", "sizes"),
    [
        (Opening(), "0 0 0"),
        (Opening("rectangle", 0.3, 0.1, 0.0, "rectangle"), "0.1 0.3 0"),
        (Opening("rectangle", 0.3, 0.1, 0.05, "box"), "0.1 0.3 0.05"),
        (Opening("ellipse", 0.08, 0.08, 0.0, "circle"), "-0.08 -0.08 0"),
        (Opening("ellipse", 0.08, 0.04, 0.0, "ellipse"), "-0.04 -0.08 0"),
        (Opening("ellipse", 0.1, 0.1, 0.2, "vertical cylinder"), "-0.1 -0.1 0.2"),
        (Opening("ellipse", 0.1, 0.2, 0.3, "ellipsoid"), "-0.2 -0.1 -0.3"),
        (Opening("ellipse", 0.0, 0.2, 0.3, "upright ellipse"), "-0.2 0 -0.3"),
        (Opening("rectangle", 0.5, 0.1, 0.1, "horizontal cylinder along"), "-0.1 0.5 -0.1"),
        (Opening("rectangle", 0.1, 0.5, 0.1, "horizontal cylinder across"), "0.5 -0.1 -0.1"),
    ],
)
def test_openings_go_out_and_come_back(opening: Opening, sizes: str) -> None:
    data = write_lm63(lamp("C"), KEYS, opening=opening)
    assert f" 1 2 {sizes}\r\n".encode() in data
    again = read_lm63(data).opening
    assert (again.shape, again.size_m) == (opening.shape, pytest.approx(opening.size_m))
    assert write_lm63(lamp("C"), KEYS, opening=again) == data


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 10**6), case=st.sampled_from(CASES))
def test_writing_what_was_read_gives_the_same_bytes(seed: int, case: tuple[str, str]) -> None:
    data = write_lm63(lamp(*case, seed=seed), KEYS)
    assert write_lm63(read_lm63(data).distribution, KEYS) == data


@pytest.mark.parametrize("watts", [-1.0, float("nan")])
def test_watts_that_are_none(watts: float) -> None:
    with pytest.raises(UsageError):
        write_lm63(lamp("C"), KEYS, input_watts=watts)


def test_a_key_that_would_break_its_line() -> None:
    with pytest.raises(UsageError):
        write_lm63(lamp("C"), [("A]B", "x")])
