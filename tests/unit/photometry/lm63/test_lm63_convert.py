"""Any photometric file written as LM-63: nothing is lost, nothing is added twice, and every reader can take it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scenelux.errors import UsageError
from scenelux.names import CALCULATED_FROM_BEAM
from scenelux.photometry import IntensityDistribution, Opening, PhotometricFile, TiltTable, read_lm63, write_lm63
from scenelux.photometry.file import Generation
from scenelux.photometry.lm63.convert import write_lm63_file

Write = Callable[..., bytes]

LAMP = IntensityDistribution("C", [0, 360], [0, 45, 90], [[100, 50, 0]] * 2)
PLAIN = PhotometricFile(
    format="LM-63", edition="2002", distribution=LAMP, opening=Opening(), keywords=(), symmetry="rotational",
    factors=(), lamps=1, rated_flux_lm=None, input_watts=0.0, warnings=(),
)  # fmt: skip


def lines(data: bytes) -> list[str]:
    return data.decode("ascii").split("\r\n")


def record(data: bytes, at: int) -> list[str]:
    """The record of the lamp (1), or that of field 12 (2), as tokens."""
    text = lines(data)
    first = next(index for index, line in enumerate(text) if line.startswith("TILT="))
    assert text[first] == "TILT=NONE"
    return text[first + at].split()


def test_an_old_relative_file_becomes_an_absolute_one_that_says_so(lm63: Write) -> None:
    old = read_lm63(lm63(first="IESNA91", keywords="[TEST] t\n[DATE] 3 May\n[MANUFAC] m", lamps="2", lumens="900",
                         multiplier="1.5", second="0.9 0.8 40", sizes="-1 0 0", units="1"))  # fmt: skip
    data = write_lm63_file(old)
    assert lines(data)[:8] == [
        "IESNA:LM-63-2002",
        "[TESTLAB] not stated",
        "[TEST] t",
        "[DATE] 3 May",
        "[MANUFAC] m",
        "[ISSUEDATE] 3 May",
        "[OTHER] The candelas include the multiplier 1.5, the ballast factor 0.9, the ballast-lamp factor 0.8",
        "[_RATEDLUMENS] 1800",
    ]
    assert record(data, 1) == ["2", "-1", "1", "3", "1", "1", "2", "-0.3048", "-0.3048", "0"]
    assert record(data, 2) == ["1", "1", "40"]
    again = read_lm63(data)
    assert again.warnings == () and again.absolute and again.lamps == 2 and again.factor == 1
    assert again.distribution.candela.tolist() == pytest.approx(old.distribution.candela)


@pytest.mark.parametrize("edition", ["2002", "2019"])
def test_writing_what_was_written_adds_nothing(lm63: Write, edition: str) -> None:
    tilt = "TILT=INCLUDE\n2\n3\n0 45 90\n1 .95 .333333333"
    keywords = "[TEST] t\n[OTHER] a\nfree\n[OTHER] b\n[OTHER] a"
    planes = {"h": "90 180 270", "candela": "1 1 0\n2 2 0\n3 3 0"}
    other_factors = {"lumens": "900", "multiplier": "1.5"}
    first = read_lm63(lm63(first="IESNA:LM-63-1995", tilt=tilt, keywords=keywords, **planes, **other_factors))
    once = write_lm63_file(first, edition)
    again = read_lm63(once)
    assert write_lm63_file(again, edition) == once
    assert again.tilt == first.tilt
    texts = [text for key, text in again.keywords if key == "OTHER"]
    assert texts[:4] == ["a", "free", "b", "a"] and "multiplier 1.5" in texts[4] and len(texts) == 5
    other = "2019" if edition == "2002" else "2002"
    twice = read_lm63(write_lm63_file(read_lm63(write_lm63_file(again, other)), edition))
    assert [one for one in twice.keywords if one[0] != "_FILEGENERATION"] == list(again.keywords)


def test_planes_from_90_to_270_are_written_as_a_circle(lm63: Write) -> None:
    first = read_lm63(lm63(first="IESNA:LM-63-1995", h="90 170 210 270", candela="1 1 0\n2 2 0\n3 3 0\n4 4 0"))
    again = read_lm63(write_lm63_file(first))
    assert again.symmetry == "none" and 36 not in {one.code for one in again.warnings}
    at = np.linspace(0, 360, 73)
    assert again.distribution.candela_at(at, 20) == pytest.approx(first.distribution.candela_at(at, 20), rel=1e-5)


@pytest.mark.parametrize(
    ("generation", "keywords", "token"),
    [
        (Generation("1.11100", ("x",)), (), "1.11100"),
        (Generation("1.1", ("x",)), (), "1.1"),
        (Generation("0.8", ("undefined",)), (), "1.00001"),
        (None, (), "1.00001"),
        (None, (("TESTLAB", f"None, {CALCULATED_FROM_BEAM}"),), "1.00010"),
        (None, (("_FILEGENERATION", "1.01000"),), "1.01000"),
    ],
    ids=["as written", "short", "not legal", "unknown", "from a beam", "kept in a keyword"],
)
def test_the_generation_type_of_2019(generation: Generation | None, keywords: tuple, token: str) -> None:
    file = replace(PLAIN, generation=generation, keywords=keywords)
    data = write_lm63_file(file, "2019")
    assert lines(data)[0] == "IES:LM-63-2019" and record(data, 2) == ["1", token, "0"]
    assert read_lm63(data).distribution.candela.max() == 100
    assert record(write_lm63_file(file), 2) == ["1", "1", "0"]


def test_the_generation_type_survives_an_edition_that_has_none() -> None:
    file = replace(PLAIN, generation=Generation("1.10000", ("accredited laboratory",)))
    there = read_lm63(write_lm63_file(file, "2002"))
    assert there.text("_FILEGENERATION") == "1.10000" and there.generation is None
    back = read_lm63(write_lm63_file(there, "2019")).generation
    assert back is not None and back.words == ("accredited laboratory",)


def test_required_values_stay_marked() -> None:
    file = replace(PLAIN, format="H-V table", edition="", basis="required minimum")
    assert read_lm63(write_lm63_file(file)).text("_BASIS") == "required minimum"


def test_required_keywords_stand_in_both_editions() -> None:
    for edition in ("2002", "2019"):
        keys = [key for key, _ in read_lm63(write_lm63_file(PLAIN, edition)).keywords]
        assert keys == ["TEST", "TESTLAB", "ISSUEDATE", "MANUFAC"]


def test_keywords_of_other_formats_become_legal() -> None:
    keywords = (
        ("_Lamp [2] \u00fc", "\u2264 5 \u00b5m"),
        ("", "TILT=INCLUDE"),
        ("", "[x"),
        ("", " "),
        ("\u4e2d" * 150, "x"),
    )
    file = replace(PLAIN, format="EULUMDAT", edition="", keywords=keywords)
    data = write_lm63_file(file)
    assert [line for line in lines(data) if line.startswith("[")][4:] == [
        "[_LAMP 2 U] <= 5 um",
        "[OTHER] TILT=INCLUDE",
        "[OTHER] [x",
        f"[{'?' * 100}] x",
    ]
    assert write_lm63_file(read_lm63(data)) == data


def test_negative_watts_and_no_lamps_can_be_written(lm63: Write) -> None:
    data = write_lm63_file(read_lm63(lm63(second="1 1 -5", lamps="0")))
    assert record(data, 1)[0] == "1" and record(data, 2)[2] == "0"


@pytest.mark.parametrize("options", [{"edition": "1995"}, {"lamps": 0}])
def test_what_is_not_written(options: dict[str, object]) -> None:
    with pytest.raises(UsageError):
        write_lm63(LAMP, [], **options)


def test_plane_360_is_plane_0() -> None:
    lamp = IntensityDistribution("C", [0, 90, 360], [0, 90], [[5, 0], [7, 0], [6, 0]])
    assert read_lm63(write_lm63(lamp, [])).distribution.candela[:, 0].tolist() == [5, 7, 5]


OPENINGS = [
    ("point", "000"), ("rectangle", "lw0"), ("box", "lwh"), ("circle", "ll0"), ("ellipse", "lw0"),
    ("vertical cylinder", "llh"), ("vertical elliptic cylinder", "lwh"), ("sphere", "lll"), ("ellipsoid", "lwh"),
    ("horizontal cylinder along", "lwh"), ("horizontal cylinder across", "lwh"), ("upright ellipse", "0wh"),
    ("upright rectangle", "0wh"), ("upright rectangle", "l0h"),
]  # fmt: skip
ROUND = ("circle", "ellipse", "vertical", "sphere", "ellipsoid", "upright ellipse")
SIZES = st.floats(0.001, 9, allow_nan=False).map(lambda size: float(f"{size:.6g}"))
TEXTS = st.text(st.characters(codec="utf-8", exclude_characters="\r\n\x1a\0"), max_size=300)
ASCII = st.text(st.characters(min_codepoint=33, max_codepoint=126), min_size=1, max_size=9)
SENTENCES = st.lists(ASCII, max_size=60).map(" ".join)
NAMES = st.sampled_from(["TEST", "TESTLAB", "MANUFAC", "ISSUEDATE", "OTHER", "MORE", "LAMP", "_OWN", "_A B", "SEARCH"])
TILTS = st.lists(st.floats(1e-6, 2), min_size=2, max_size=40).flatmap(
    lambda factors: st.builds(
        TiltTable, st.integers(1, 3), st.just(tuple(np.linspace(0, 90, len(factors)).tolist())), st.just(tuple(factors))
    )
)


def opening_of(row: tuple[str, str], length: float, width: float, height: float) -> Opening:
    solid, order = row
    sizes = {"l": length, "w": width + 9, "h": height, "0": 0.0}
    shape = "point" if solid == "point" else "ellipse" if solid.startswith(ROUND) else "rectangle"
    return Opening(shape, *(sizes[letter] for letter in order), solid)


@st.composite
def distributions(draw: st.DrawFn) -> IntensityDistribution:
    kind = draw(st.sampled_from("ABC"))
    inner = st.lists(st.integers(1, 899), max_size=5, unique=True).map(
        lambda tenths: [one / 10 for one in sorted(tenths)]
    )
    half_h, half_v = [0, *draw(inner), 90], [0, *draw(inner), 90]
    if kind == "C":
        h = [*half_h, *(180 - a for a in half_h[-2:0:-1]), 180, *(180 + a for a in half_h[1:-1]), 360]
        v = half_v if draw(st.booleans()) else [*half_v, 180]
    else:
        h, v = [*(-a for a in half_h[:0:-1]), *half_h], [*(-a for a in half_v[:0:-1]), *half_v]
    rng = np.random.default_rng(draw(st.integers(0, 10**6)))
    candela = 10 ** rng.uniform(-3, 5, (len(h), len(v)))
    if draw(st.booleans()):
        candela = candela[:1].repeat(len(h), axis=0)
    if kind == "C":
        candela[-1] = candela[0]
    return IntensityDistribution(kind, h, v, candela)


@settings(max_examples=120, deadline=None)
@given(
    lamp=distributions(), row=st.sampled_from(OPENINGS), sizes=st.tuples(SIZES, SIZES, SIZES), tilt=st.none() | TILTS,
    keywords=st.lists(st.tuples(NAMES, SENTENCES), max_size=8), edition=st.sampled_from(["2002", "2019"]),
    watts=st.integers(0, 2000), lamps=st.integers(1, 9),
)  # fmt: skip
def test_a_round_trip_loses_nothing(
    lamp: IntensityDistribution, row: tuple[str, str], sizes: tuple[float, float, float], tilt: TiltTable | None,
    keywords: list[tuple[str, str]], edition: str, watts: int, lamps: int,
) -> None:  # fmt: skip
    opening = opening_of(row, *sizes)
    file = replace(
        PLAIN,
        distribution=lamp,
        opening=opening,
        tilt=tilt,
        keywords=tuple(keywords),
        input_watts=float(watts),
        lamps=lamps,
    )
    data = write_lm63_file(file, edition)
    again = read_lm63(data, "again.ies")
    assert data.isascii() and max(map(len, data.split(b"\r\n"))) <= 132 and data.count(b"\n") == data.count(b"\r\n")
    assert {one.code for one in again.warnings} <= {40, 42, 43, 48, 54, 105}
    h, v = lamp.horizontal_deg[:, None], lamp.vertical_deg[None, :]
    assert again.distribution.photometric_type == lamp.photometric_type
    assert again.distribution.candela_at(h, v) == pytest.approx(lamp.candela_at(h, v), rel=5.1e-6)
    assert np.array_equal(again.distribution.vertical_deg, lamp.vertical_deg)
    assert (again.opening.shape, again.opening.solid) == (opening.shape, opening.solid)
    assert again.opening.size_m == pytest.approx(opening.size_m, rel=5e-6)
    assert (again.tilt, again.input_watts, again.lamps, again.edition) == (tilt, watts, lamps, edition)
    for key in {key for key, _ in keywords} - {"MORE"}:
        assert again.text(key).split() == file.text(key).split()
    assert write_lm63_file(again, edition) == data


@settings(max_examples=100, deadline=None)
@given(keywords=st.lists(st.tuples(st.text(max_size=150), TEXTS), max_size=5))
def test_any_keyword_can_be_written_and_stays(keywords: list[tuple[str, str]]) -> None:
    data = write_lm63_file(replace(PLAIN, keywords=tuple(keywords)))
    assert data.isascii() and max(map(len, data.split(b"\r\n"))) <= 132
    assert write_lm63_file(read_lm63(data)) == data


@settings(max_examples=60, deadline=None)
@given(row=st.sampled_from(OPENINGS), feet=st.tuples(SIZES, SIZES, SIZES))
def test_openings_in_feet_come_out_in_metres(row: tuple[str, str], feet: tuple[float, float, float]) -> None:
    """The codes of 2002 as printed in the file, read in feet, written in metres, read again."""
    wanted = opening_of(row, *feet)
    text = write_lm63(LAMP, [], opening=wanted).replace(b" 1 2 ", b" 1 1 ")
    in_feet = read_lm63(text)
    assert in_feet.opening.solid == wanted.solid
    assert in_feet.opening.size_m == pytest.approx([0.3048 * size for size in wanted.size_m], rel=1e-5)
    again = read_lm63(write_lm63_file(in_feet)).opening
    assert again.solid == wanted.solid and again.size_m == pytest.approx(in_feet.opening.size_m, rel=5e-6)
