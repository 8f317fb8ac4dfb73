"""Writing TM-33: what is written reads back, and says in words what it cannot hold."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scenelux.errors import LimitError
from scenelux.photometry import (
    Generation,
    IntensityDistribution,
    Opening,
    PhotometricFile,
    TestPoint,
    TiltTable,
    flux_lm,
)
from scenelux.photometry.lm63.openings import opening_codes, read_opening
from scenelux.photometry.tm33.read import read_tm33
from scenelux.photometry.tm33.write import write_tm33

H = np.array([0, 33.25, 90, 146.75, 180, 213.25, 270, 326.75, 360.0])
V = np.array([0, 22.25, 60.5, 90])
ELEMENT_KEYS = ("MANUFAC", "LUMCAT", "LUMINAIRE", "TESTLAB", "TEST", "TESTDATE", "ISSUEDATE", "OTHER", "LAMP")


def table(symmetry: str) -> np.ndarray:
    values = np.random.default_rng(4).uniform(1, 9000, (9, 4))
    values[:, 0] = 4321.0
    if symmetry == "Symm_Full":
        values[:] = values[0]
    if symmetry in ("Symm_Bi_0", "Symm_Quad"):
        values[5:] = values[3::-1]
    if symmetry in ("Symm_Bi_90", "Symm_Quad"):
        values[[3, 4, 5]] = values[[1, 0, 7]]
    if symmetry == "Symm_Quad":
        values[7] = values[1]
        values[5] = values[3]
    values[-1] = values[0]
    return values


def lamp(distribution: IntensityDistribution | None = None, **parts: object) -> PhotometricFile:
    one = distribution or IntensityDistribution("C", H, V, table("Symm_None"))
    whole = PhotometricFile("LM-63", "2002", one, Opening(), (("TEST", "t"),), "none", (), 1, None, 24.0, ())
    return replace(whole, **parts)  # type: ignore[arg-type]


def again(file: PhotometricFile) -> PhotometricFile:
    return read_tm33(write_tm33(file)[0], "again.xml")


def close(one: IntensityDistribution, two: IntensityDistribution) -> bool:
    """Within five significant digits wherever the first one lists a value."""
    h, v = np.meshgrid(one.horizontal_deg, one.vertical_deg, indexing="ij")
    return bool(np.allclose(two.candela_at(h, v), one.candela_at(h, v), rtol=5e-6, atol=1e-9))


@pytest.mark.parametrize("symmetry", ["Symm_None", "Symm_Bi_0", "Symm_Bi_90", "Symm_Quad", "Symm_Full"])
def test_only_exact_symmetry_is_left_out(symmetry: str) -> None:
    one = IntensityDistribution("C", H, V, table(symmetry))
    data, said = write_tm33(lamp(one))
    text = data.decode()
    assert f"<Symm>{symmetry}</Symm>" in text and said == ()
    planes = {"Symm_None": 9, "Symm_Bi_0": 5, "Symm_Bi_90": 5, "Symm_Quad": 3, "Symm_Full": 1}[symmetry]
    assert f"<NumberHorz>{planes}</NumberHorz>" in text and text.count("<IntData ") == planes * 4
    file = read_tm33(data)
    assert file.warnings == () or {one.code for one in file.warnings} == {40}
    assert close(one, file.distribution) and flux_lm(file.distribution) == pytest.approx(flux_lm(one), rel=1e-5)
    nearly = table(symmetry)
    nearly[1, 1] *= 1.00001
    other = write_tm33(lamp(IntensityDistribution("C", H, V, nearly)))[0].decode()
    assert "<Symm>Symm_None</Symm>" in other


@pytest.mark.parametrize("kind", ["A", "B"])
def test_types_a_and_b_are_written_in_full(kind: str) -> None:
    h, v = [-40, 0, 40], [-10, 0, 10, 35]
    one = IntensityDistribution(kind, h, v, np.random.default_rng(2).uniform(1, 99, (3, 4)))  # type: ignore[arg-type]
    data, _ = write_tm33(lamp(one))
    assert f"<Type>IES_{kind}</Type>" in data.decode() and "<Symm>Symm_None</Symm>" in data.decode()
    file = read_tm33(data)
    assert file.distribution.photometric_type == kind and close(one, file.distribution)
    assert file.distribution.candela_at([-41, 41, 0, 0], [0, 0, -11, 36]).tolist() == [0, 0, 0, 0]
    assert 39 not in [warning.code for warning in file.warnings]


@pytest.mark.parametrize(("kind", "h"), [("A", (0.0, 90.0)), ("B", (-80.0, 0.0, 60.0))])
def test_one_sided_tables_stay_one_sided(kind: str, h: tuple[float, ...]) -> None:
    one = IntensityDistribution(kind, h, [0.0, 30.0, 60.0], np.full((len(h), 3), 7.0))  # type: ignore[arg-type]
    file = again(lamp(one))
    assert close(one, file.distribution)
    assert file.distribution.candela_at(30, -20) == 0 and (kind == "B" or file.distribution.candela_at(-30, 20) == 0)


@pytest.mark.parametrize("v", [(0.0, 50.0), (130.0, 180.0), (30.0, 120.0), (90.0, 180.0), (0.5, 89.995)])
def test_partial_vertical_ranges_stay_dark_outside(v: tuple[float, ...]) -> None:
    one = IntensityDistribution("C", [0, 360], v, [[80, 60]] * 2)
    file = again(lamp(one))
    assert close(one, file.distribution) and 39 not in [warning.code for warning in file.warnings]
    for outside in (v[0] - 0.1, v[1] + 0.1):
        if 0 <= outside <= 180:
            assert file.distribution.candela_at(0, outside) == 0


def test_numbers_are_plain_and_the_document_is_like_the_schema_extract() -> None:
    one = IntensityDistribution("C", [0, 360], [0, 22.25, 1 / 3 + 60, 90], [[1234567.8, 0.00012345678, 1e-12, 0]] * 2)
    data, _ = write_tm33(lamp(one, input_watts=0.1 + 0.2))
    root = ET.fromstring(data)
    assert root.tag == "IESTM33-22" and root.findtext("Version") == "1.1"
    light = root.find("Emitter/LuminousData/LuminousIntensity")
    assert light is not None
    assert [one.tag for one in light][:7] == [
        "AbsolutePhotometry", "Symm", "Multiplier", "NumberMeasured", "NumberHorz", "NumberVert", "IntData",
    ]  # fmt: skip
    assert light.findtext("AbsolutePhotometry") == "true" and light.findtext("Multiplier") == "1"
    assert [point.text for point in light.iter("IntData")] == ["1234570", "0.000123457", "0", "0"]
    assert [point.get("v") for point in light.iter("IntData")] == ["0", "22.25", "60.333333333333336", "90"]
    numbers = re.findall(rb">([0-9.eE+-]+)<", data)
    assert len(numbers) > 10 and not any(b"e" in number.lower() for number in numbers)
    assert root.findtext("Emitter/InputWattage") == "0.30000000000000004"
    assert float(root.findtext("Emitter/LuminousData/LuminousFlux") or 0) == pytest.approx(flux_lm(one), rel=1e-5)


def test_the_same_file_gives_the_same_bytes_and_a_second_round_changes_nothing() -> None:
    file = lamp(opening=Opening("ellipse", 0.1, 0.2, 0.0, "ellipse"), keywords=(("TEST", "a"), ("_X", "b")))
    first = write_tm33(file)[0]
    assert write_tm33(file)[0] == first
    assert write_tm33(read_tm33(first))[0] == first


KEYWORDS = (
    ("", "a line without a keyword"),
    ("OTHER", "first"),
    ("TEST", "R-1"),
    ("MORE", "and more of it"),
    ("_GTIN", "0123"),
    ("MANUFAC", "invented & <co>"),
    ("OTHER", "second"),
    ("LAMP", "module"),
    ("LAMP", "another"),
    ("BALLAST", "  blanks  kept "),
    ("MANUFAC", "again"),
    ("_RATEDLUMENS", "900"),
    ("_RATEDLUMENS", "about 900"),
    ("_LUMINAIRESIZEMM", "600 150 80.5"),
    ("_LUMINAIRESIZEMM", "600 x 150"),
    ("_LUMINAIRESIZEMM", "0.60 1 1"),
    ("ISSUEDATE", ""),
    ("TESTLAB", "line\nend, tab\tand\rreturn"),
    ('_"<>&', "é € 漢 \U0001f600 ]]> <!--"),
)


def test_every_keyword_returns_in_order() -> None:
    file = lamp(keywords=KEYWORDS)
    data, said = write_tm33(file)
    assert said == () and read_tm33(data).keywords == KEYWORDS
    root = ET.fromstring(data)
    assert root.findtext("Header/Manufacturer") == "invented & <co>" and root.findtext("Header/Comments") == "first"
    assert root.findtext("Emitter/Description") == "module" and root.findtext("Emitter/RatedLumens") == "900"
    assert root.findtext("Luminaire/Dimensions/Length") == "0.6"


def test_a_keyword_that_another_program_adds_or_removes() -> None:
    text = write_tm33(lamp(keywords=(("TEST", "a"), ("_X", "x"), ("MANUFAC", "m"))))[0].decode()
    added = text.replace("</Header>", "<Laboratory>new</Laboratory></Header>").replace(
        "<ReportNumber>a</ReportNumber>", ""
    )
    assert read_tm33(added.encode()).keywords == (("_X", "x"), ("MANUFAC", "m"), ("TESTLAB", "new"))


def test_letters_that_xml_cannot_hold_are_left_out_and_told() -> None:
    data, said = write_tm33(lamp(keywords=(("TEST", "a\x01b\x00"), ("_X\x0b", "c\ud800\ufffe"))))
    assert read_tm33(data).keywords == (("TEST", "ab"), ("_X", "c"))
    assert said == ("letters that XML cannot hold are left out",)


KEY = st.one_of(st.sampled_from((*ELEMENT_KEYS, "_RATEDLUMENS", "_LUMINAIRESIZEMM", "MORE", "")), st.text(max_size=8))
TEXT = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cc", "Cn", "Cs"), include_characters="\t\n"), max_size=20
)


@settings(max_examples=150)
@given(st.lists(st.tuples(KEY, TEXT), max_size=12))
def test_any_keywords_return(keywords: list[tuple[str, str]]) -> None:
    data, said = write_tm33(lamp(keywords=tuple(keywords)))
    if not said and not any(text.isspace() for _, text in keywords):
        assert read_tm33(data).keywords == tuple(keywords)


def every_opening() -> list[Opening]:
    """One of each solid that the shape codes of the editions name."""
    signs = [(a, b, c) for a in (-0.3, 0, 0.3) for b in (-0.2, 0, 0.2) for c in (-0.1, 0, 0.1)]
    editions = ("1986", "1995", "2002")
    found = {read_opening(edition, *one, 1.0)[0] for edition in editions for one in signs}  # type: ignore[arg-type]
    return sorted(found, key=lambda one: (one.solid, one.size_m))


def test_openings_of_every_solid_return() -> None:
    openings = every_opening()
    assert len({one.solid for one in openings}) >= 12
    for opening in openings:
        file = again(lamp(opening=opening))
        assert file.opening == opening and opening_codes(file.opening) == opening_codes(opening)
        assert {warning.code for warning in file.warnings} <= {40}


@pytest.mark.parametrize("position", [None, (359.5, 90.0)])
def test_the_tilt_table_returns(position: tuple[float, float] | None) -> None:
    tilt = TiltTable(3, (0.0, 22.5, 90.0), (1.0, 0.95, 2 / 3), position)
    data, said = write_tm33(lamp(tilt=tilt))
    assert read_tm33(data).tilt == tilt and said == ("the tilt table stands in an element that only scenelux reads",)


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ("<Shape>ellipse", "<Shape>star", 140),
        ("<Length>0.1", "<Length>-0.1", 140),
        ("<Length>0.1", "<Length>90", 105),
        ("<Geometry>1", "<Geometry>4", 141),
        ('tilt="90"', 'tilt="0"', 141),
        (">0.5</Factor>", ">-0.5</Factor>", 141),
    ],
)
def test_own_elements_that_somebody_changed(old: str, new: str, code: int) -> None:
    file = lamp(opening=Opening("ellipse", 0.1, 0.1, 0.0, "circle"), tilt=TiltTable(1, (0.0, 90.0), (1.0, 0.5)))
    text = write_tm33(file)[0].decode()
    assert old in text
    assert code in [warning.code for warning in read_tm33(text.replace(old, new).encode()).warnings]


def test_what_cannot_be_held_is_said() -> None:
    file = lamp(
        factors=(("multiplier", 1.2), ("ballast factor", 1.0)), rated_flux_lm=900.0, lamps=3,
        generation=Generation("1.00010", ("computer simulation",)), basis="required minimum",
        points=(TestPoint(0, 0, 1),), opening=Opening("rectangle", 1, 1, 0, "rectangle"),
        tilt=TiltTable(1, (0.0, 90.0), (1.0, 0.9)),
    )  # fmt: skip
    data, said = write_tm33(file)
    assert len(said) == 5
    for words in ("RatedLumens", "lamps, 3", "test points", "opening", "tilt table"):
        assert sum(words in sentence for sentence in said) == 1, words
    assert not any(sentence.endswith(".") for sentence in said)
    again = read_tm33(data)
    assert again.absolute and again.keywords == (
        ("TEST", "t"), ("OTHER", "The candelas include the multiplier 1.2"), ("_FILEGENERATION", "1.00010"),
        ("_BASIS", "required minimum"), ("_RATEDLUMENS", "900"),
    )  # fmt: skip
    assert write_tm33(replace(again, points=file.points))[0] == write_tm33(replace(again, points=()))[0]


def test_tables_too_large_for_a_file_are_refused_before_they_are_written() -> None:
    many = np.linspace(0, 360, 1001)
    values = np.ones((1001, 1001))
    values[1, 1] = 2
    with pytest.raises(LimitError, match="1002001"):
        write_tm33(lamp(IntensityDistribution("C", many, np.linspace(0, 180, 1001), values)))


def test_mirrored_tables_without_a_plane_in_the_mirror_are_written_in_full() -> None:
    h = [0, 100, 260, 360]
    one = IntensityDistribution("C", h, [0, 40, 90], [[5, 4, 0], [5, 3, 1], [5, 3, 1], [5, 4, 0]])
    data, _ = write_tm33(lamp(one))
    assert b"<Symm>Symm_None</Symm>" in data and b"<NumberHorz>4</NumberHorz>" in data
    assert close(one, read_tm33(data).distribution)
    both = [[5, 4, 0], [5, 3, 1], [5, 3, 1], [5, 4, 0], [5, 3, 1], [5, 3, 1], [5, 4, 0]]
    one = IntensityDistribution("C", [0, 60, 120, 180, 240, 300, 360], [0, 40, 90], both)
    data, _ = write_tm33(lamp(one))
    assert b"<Symm>Symm_Bi_0</Symm>" in data and b"<NumberHorz>4</NumberHorz>" in data
    assert close(one, read_tm33(data).distribution)


def test_repeated_header_elements_of_another_program_keep_their_order() -> None:
    text = write_tm33(lamp(keywords=(("_X", "x"), ("OTHER", "one"))))[0].decode()
    more = text.replace("</Comments>", "</Comments><Comments>two</Comments><Comments>three</Comments>")
    assert read_tm33(more.encode()).keywords == (("_X", "x"), ("OTHER", "one"), ("OTHER", "two"), ("OTHER", "three"))
