"""Reading TM-33: what each element means, by the path of the schema extract."""

from __future__ import annotations

import random

import pytest

from scenelux.errors import InputError, PhotometricError, UsageError
from scenelux.photometry import Opening, PhotometricFile, flux_lm
from scenelux.photometry.tm33.read import looks_like_tm33, read_tm33
from tests.unit.photometry.tm33.documents import document, point_lines, points

QUARTER = (0, 30, 60, 90)


def read(*args: object, **parts: object) -> PhotometricFile:
    return read_tm33(document(*args, **parts).encode(), "lamp.xml")  # type: ignore[arg-type]


def codes(file: PhotometricFile) -> list[int]:
    return [warning.code for warning in file.warnings]


def refused(*args: object, **parts: object) -> PhotometricError:
    with pytest.raises(PhotometricError) as caught:
        read(*args, **parts)
    return caught.value


def test_a_plain_document_reads_without_a_warning() -> None:
    file = read()
    assert (file.format, file.edition, file.title) == ("TM-33", "1.1", "TM-33 1.1")
    assert file.warnings == () and file.absolute and file.lamps == 1 and file.input_watts == 10
    assert file.symmetry == "rotational" and file.opening == Opening() and file.tilt is None
    assert file.distribution.candela_at([10, 200], [22.5, 45]).tolist() == [75.0, 50.0]
    assert file.factors == (("multiplier", 1.0), ("ballast factor", 1.0))


@pytest.mark.parametrize(
    ("root", "version", "edition", "warned"),
    [
        ("IESTM33-22", "<Version>1.1</Version>", "1.1", []),
        ("IESTM33", "<Version>1.0</Version>", "1.0", []),
        ("IESTM33", "", "1.0", []),
        ("IESTM33-22", "", "1.1", [134]),
        ("IESTM33-22", "<Version>3.7</Version>", "3.7", [134]),
        ("IESTM33-22", "<Version>new</Version>", "1.1", [134]),
        ('LuminaireOpticalData version="1.0"', "", "1.0", []),
        ('tm:IESTM33-22 xmlns:tm="urn:x"', "<tm:Version>1.1</tm:Version>", "1.1", []),
    ],
)
def test_roots_and_versions(root: str, version: str, edition: str, warned: list[int]) -> None:
    file = read(root=root, version=version)
    assert file.edition == edition and codes(file) == warned


def test_namespaces_and_case_do_not_matter() -> None:
    text = document().replace("<IntData", "<q:IntData").replace("</IntData", "</q:IntData")
    text = text.replace("LuminousData>", "x:luminousdata>").replace("<IESTM33-22>", '<IESTM33-22 xmlns="urn:any">')
    file = read_tm33(text.encode())
    assert codes(file) == [] and file.distribution.candela.max() == 100


def test_an_unknown_root_is_named() -> None:
    error = refused(root="svg")
    assert error.code == 59 and '"svg"' in str(error) and error.line == 2


@pytest.mark.parametrize("part", ["Emitter", "LuminousData", "LuminousIntensity", "IntData"])
def test_a_missing_element_is_named(part: str) -> None:
    text = document().replace(f"<{part}", "<Other").replace(f"</{part}", "</Other")
    with pytest.raises(PhotometricError, match=part) as caught:
        read_tm33(text.encode())
    assert caught.value.code == 132


def test_points_in_any_order() -> None:
    listed = points((0, 90, 180, 270, 360), (0, 20, 70, 90), [[9 * i + j for j in range(4)] for i in (1, 2, 3, 4, 1)])
    straight = read(listed, symm="<Symm>Symm_None</Symm>")
    random.Random(3).shuffle(listed)
    mixed = read(listed, symm="<Symm>Symm_None</Symm>")
    assert (straight.distribution.candela == mixed.distribution.candela).all()
    assert mixed.distribution.candela_at(90, 20) == 19 and mixed.distribution.candela_at(270, 70) == 38


def test_a_hole_is_named() -> None:
    listed = points((0, 90, 180), (0, 45, 90), [[1, 2, 3]] * 3)
    listed.remove((90, 45, 2))
    error = refused(listed, symm="<Symm>Symm_Bi_0</Symm>")
    assert error.code == 24 and '"h 90, v 45"' in str(error) and "9 points, found 8" in str(error)


def test_a_point_that_is_there_twice_is_named_with_its_line() -> None:
    listed = points((0, 90, 180), (0, 45, 90), [[1, 2, 3]] * 3)
    listed[5] = (90, 45, 7)
    error = refused(listed, symm="<Symm>Symm_Bi_0</Symm>")
    assert error.code == 45 and '"h 90, v 45"' in str(error)
    assert error.line == 2 + 1 + 5  # the declaration, the line of the elements, then a line for each point


@pytest.mark.parametrize(
    ("counts", "code"),
    [
        ((4, 1, 3), 24),
        ((2, 1, 3), 25),
        ((3, 3, 1), 24),
        ((3, 1, 4), 24),
        ((4_000_001, 1, 3), 24),
        ((3, 0, 3), 25),
    ],
)
def test_counts_that_disagree_with_the_points(counts: tuple[int, int, int], code: int) -> None:
    names = ("NumberMeasured", "NumberHorz", "NumberVert")
    text = "".join(f"<{name}>{count}</{name}>" for name, count in zip(names, counts, strict=True))
    error = refused(counts=text)
    assert error.code == code and "stated" in str(error)


def test_missing_counts_warn_and_one_vertical_angle_is_too_few() -> None:
    assert codes(read(counts="")) == [132]
    assert refused([(0, 0, 5)]).code == 57


@pytest.mark.parametrize(
    ("name", "h", "symmetry"),
    [
        ("Symm_Full", (0,), "rotational"),
        ("Symm_Quad", QUARTER, "quadrants"),
        ("Symm_Bi_0", (0, 60, 120, 180), "mirrored in the plane 0-180"),
        ("Symm_Bi_90", (90, 140, 180, 270), "mirrored in the plane 90-270"),
        ("Symm_None", (0, 50, 200, 300, 360), "none"),
    ],
)
@pytest.mark.parametrize("spelling", [str, str.upper, lambda s: s.replace("_", " _ "), lambda s: s[5:].lower()])
def test_each_symmetry_in_every_spelling(name: str, h: tuple[int, ...], symmetry: str, spelling: object) -> None:
    values = [[100 + 10 * i, 50 + i, 0] for i in range(len(h))]
    values[-1] = values[0] if h[-1] == 360 else values[-1]
    symm = f"<Symm> {spelling(name)}\n </Symm>"  # type: ignore[operator]
    file = read(points(h, (0, 45, 90), values), symm=symm)
    assert file.symmetry == symmetry and set(codes(file)) <= {42}
    at = file.distribution.candela_at
    if name == "Symm_Quad":
        assert at(120, 45) == at(60, 45) == at(240, 45) == at(300, 45) == 52
    if name == "Symm_Bi_0":
        assert at(240, 45) == at(120, 45) == 52
    if name == "Symm_Bi_90":
        assert at(40, 45) == at(140, 45) == 51


@pytest.mark.parametrize(
    ("name", "h", "outcome"),
    [
        ("", QUARTER, "warn"),
        ("Symm_Arbitrary", QUARTER, "warn"),
        ("Symm_Odd", QUARTER, "warn"),
        ("Symm_Full", QUARTER, "warn"),
        ("Symm_Full", (0, 120, 240, 360), "warn"),
        ("Symm_Quad", (0, 90, 180), "warn"),
        ("Symm_Quad", (0,), "refuse"),
        ("Symm_Bi_0", (0, 90, 180, 270, 360), "warn"),
        ("Symm_Bi_0", QUARTER, "refuse"),
        ("Symm_Bi_90", (0, 90, 180, 270, 360), "warn"),
        ("Symm_Bi_90", (0, 90, 180), "refuse"),
        ("Symm_Bi_90", (0, 90, 270, 360), "refuse"),
        ("Symm_None", (0, 90, 180), "refuse"),
        ("Symm_None", (0,), "refuse"),
    ],
)
def test_stated_symmetry_against_the_planes(name: str, h: tuple[int, ...], outcome: str) -> None:
    listed = points(h, (0, 45, 90), [[100, 50 + (angle % 360) / 10, 0] for angle in h])
    symm = f"<Symm>{name}</Symm>" if name else ""
    if outcome == "refuse":
        assert refused(listed, symm=symm).code == 135
    else:
        file = read(listed, symm=symm)
        assert codes(file) == [135]
        assert file.distribution.candela_at(h, 45).tolist() == [50 + (angle % 360) / 10 for angle in h]


def test_an_open_circle_is_closed_and_other_ends_are_refused() -> None:
    file = read(points((0, 90, 180, 270), (0, 90), [[5, 1], [5, 2], [5, 3], [5, 4]]), symm="<Symm>Symm_None</Symm>")
    assert 34 in codes(file) and file.distribution.candela_at(359.999, 90) == pytest.approx(1, abs=1e-3)
    assert refused(points((0, 60, 120), (0, 90), [[1, 0]] * 3), symm="").code == 38


@pytest.mark.parametrize("kind", ["IES_A", "IES_B", " ies_b "])
def test_types_a_and_b(kind: str) -> None:
    listed = points((-90, 0, 90), (-90, 0, 90), [[0, 0, 0], [0, 1000, 0], [0, 0, 0]])
    before = f"<Equipment><Gonioradiometer><Type>{kind}</Type></Gonioradiometer></Equipment>"
    file = read(listed, before=before, symm="<Symm>Symm_None</Symm>")
    assert file.distribution.photometric_type == kind.strip()[-1].upper()
    assert 136 in codes(file) and flux_lm(file.distribution) == pytest.approx(2000, rel=1e-9)
    half = [one for one in listed if one[0] >= 0]
    assert refused(half, before=before, symm="<Symm>Symm_None</Symm>").code == 135
    assert codes(read(half, before=before, symm="<Symm>Symm_Bi_0</Symm>"))[:2] == [136, 135]


@pytest.mark.parametrize("kind", ["", "IES_C", "CIE_C", "cie_c"])
def test_type_c_is_the_usual_one(kind: str) -> None:
    before = f"<Gonioradiometer><Type>{kind}</Type></Gonioradiometer>"
    assert codes(read(before=before)) == []


@pytest.mark.parametrize("kind", ["CIE_A", "CIE_B", "CUSTOM", "MIRROR"])
def test_types_whose_angles_are_not_confirmed_are_refused(kind: str) -> None:
    error = refused(before=f"<Gonioradiometer><Type>{kind}</Type></Gonioradiometer>")
    assert error.code == 136 and kind in str(error)


def test_factors_apply_once_each() -> None:
    file = read(multiplier="<Multiplier>1.2</Multiplier>", emitter="<BallastFactor>0.9</BallastFactor>")
    assert file.factors == (("multiplier", 1.2), ("ballast factor", 0.9))
    assert file.distribution.candela[0].tolist() == pytest.approx([108, 54, 0])
    assert codes(read(multiplier="<Multiplier>0</Multiplier>")) == [61, 58]
    assert refused(multiplier="<Multiplier>-1</Multiplier>").code == 61


def test_quantity_and_several_emitters_multiply_and_add_nothing() -> None:
    file = read(quantity="<Quantity>12</Quantity>")
    assert codes(file) == [137] and file.lamps == 12 and file.distribution.candela.max() == 100
    one, two = document(), document([(0, 0, 7), (0, 90, 3)])
    both = one.replace(
        "</Emitter>", "</Emitter>" + two[two.index("<Emitter>") : two.index("</Emitter>")] + "</Emitter>"
    )
    for emitter, highest in ((1, 100), (2, 7)):
        file = read_tm33(both.encode(), emitter=emitter)
        assert 56 in codes(file) and file.distribution.candela.max() == highest
    with pytest.raises(UsageError, match="the file has 2"):
        read_tm33(both.encode(), emitter=3)


def test_photometry_that_is_not_absolute_warns() -> None:
    rated = "<RatedLumens>900</RatedLumens>"
    file = read(absolute="<AbsolutePhotometry>false</AbsolutePhotometry>", emitter=rated)
    assert codes(file) == [142] and file.rated_flux_lm == 900 and not file.absolute
    file = read(emitter=rated)
    assert codes(file) == [] and file.rated_flux_lm is None and file.text("_RATEDLUMENS") == "900"
    assert read(absolute="").absolute
    assert refused(absolute="<AbsolutePhotometry>maybe</AbsolutePhotometry>").code == 142


def test_stated_lumens_are_compared_with_the_integral() -> None:
    flux = flux_lm(read().distribution)
    assert codes(read(flux=f"<LuminousFlux>{1.02 * flux:.3f}</LuminousFlux>")) == []
    file = read(flux=f"<LuminousFlux>{1.05 * flux:.3f}</LuminousFlux>")
    assert codes(file) == [53] and f"{flux:.4g} lm" in file.warnings[0].sentence


@pytest.mark.parametrize("kind", ["RadiantData", "PhotonData"])
def test_radiant_data_alone_are_refused(kind: str) -> None:
    inner = f"<{kind}><RadiantIntensity>{point_lines([(0, 0, 1), (0, 90, 0)])}</RadiantIntensity></{kind}>"
    error = refused(data=inner)
    assert error.code == 54 and kind in str(error) and "not luminous" in str(error)


def test_radiant_data_beside_luminous_data_are_left_alone() -> None:
    other = f"<RadiantData><RadiantIntensity>{point_lines([(0, 0, 1), (0, 30, 4)])}</RadiantIntensity></RadiantData>"
    file = read(emitter=other)
    assert codes(file) == [] and file.distribution.candela.max() == 100


def test_aliases_off_the_schema() -> None:
    listed = point_lines([(0, 0, 100), (0, 45, 20), (0, 90, 0)], "IntensityData", ("horz", "vert"))
    file = read(listed, symm="<SymmType>full</SymmType>", counts="<NumberMeasured>3</NumberMeasured>")
    assert set(codes(file)) == {132, 139} and codes(file).count(139) == 3
    assert file.distribution.candela[0].tolist() == [100, 20, 0]
    swapped = read('<IntData unit="cd" v="90" h="0">0</IntData><IntData v="0" h="0">9</IntData>', counts="")
    assert swapped.distribution.candela[0].tolist() == [9, 0]


def test_an_angle_that_is_missing_is_named() -> None:
    error = refused('<IntData h="0">1</IntData>', counts="")
    assert error.code == 132 and "angle v" in str(error) and error.line == 3


def test_header_texts_become_keywords_in_order() -> None:
    header = (
        "<Header><ReportNumber> R 1 </ReportNumber><Manufacturer>inv &amp; co</Manufacturer><GTIN>4</GTIN>"
        "<Comments>one\n   two</Comments><Comments>three</Comments><Mood><Inner>a</Inner><Inner>b</Inner></Mood>"
        "<Laboratory/></Header>"
    )
    file = read(header=header, emitter="<Description>LED module</Description>")
    assert file.keywords == (
        ("TEST", "R 1"), ("MANUFAC", "inv & co"), ("_GTIN", "4"), ("OTHER", "one two"), ("OTHER", "three"),
        ("_MOOD", "a b"), ("TESTLAB", ""), ("LAMP", "LED module"),
    )  # fmt: skip


def test_every_header_element_has_its_keyword() -> None:
    pairs = {
        "Manufacturer": "MANUFAC", "CatalogNumber": "LUMCAT", "Description": "LUMINAIRE", "Laboratory": "TESTLAB",
        "ReportNumber": "TEST", "ReportDate": "TESTDATE", "DocumentCreationDate": "ISSUEDATE",
        "DocumentCreator": "_CREATOR", "GTIN": "_GTIN", "UniqueIdentifier": "_UUID", "Comments": "OTHER",
        "Reference": "_REFERENCE", "MoreInfoURI": "_URI", "Colour": "_COLOUR",
    }  # fmt: skip
    inner = "".join(f"<{name}>{name} text</{name}>" for name in pairs)
    assert read(header=f"<Header>{inner}</Header>").keywords == tuple((k, f"{n} text") for n, k in pairs.items())


def test_dimensions_are_the_housing_and_never_the_opening() -> None:
    sizes = "<Luminaire><Dimensions><Length>{}</Length><Width>{}</Width><Height>{}</Height></Dimensions></Luminaire>"
    metres = read(before=sizes.format("0.6", "0.15", "0.0805"))
    assert metres.text("_LUMINAIRESIZEMM") == "600 150 80.5" and codes(metres) == [] and metres.opening == Opening()
    assert read(before=sizes.format("6e-1", "1e-999999999", "1")).text("_LUMINAIRESIZEMM") == "600 0 1000"
    millimetres = read(before=sizes.format("600", "150", "80.5"))
    assert millimetres.text("_LUMINAIRESIZEMM") == "600 150 80.5" and codes(millimetres) == [139]


def test_foreign_openings_and_tilt_angles_are_not_guessed() -> None:
    file = read(emitter="<EmissionAreas><EmissionArea/></EmissionAreas><TiltAngles><x/></TiltAngles>")
    assert codes(file) == [140, 141] and file.opening == Opening() and file.tilt is None


@pytest.mark.parametrize(
    ("word", "code"),
    [
        ("nan", 22), ("inf", 22), ("-Infinity", 22), ("0x10", 22), ("1_000", 22), ("1e999", 22), ("٣", 22),
        ("", 24), ("1,5", 19), ("1.2.3", 23), ("1 2", 22), ("e5", 22), ("9" * 101, 22), ("-9", 51), ("9e12", 22),
    ],
)  # fmt: skip
def test_values_that_are_no_numbers(word: str, code: int) -> None:
    error = refused(f'<IntData h="0" v="0">100</IntData>\n<IntData h="0" v="90">{word}</IntData>', counts="")
    assert error.code == code
    assert error.line == (3 if code == 51 else 4)
    if code not in (51,) and word != "9e12":
        with pytest.raises(InputError):
            read(f'<IntData h="{word}" v="0">100</IntData>', counts="")
        with pytest.raises(InputError):
            read(watts=f"<InputWattage>{word}</InputWattage>")


def test_numbers_in_other_writings() -> None:
    listed = '<IntData h="0" v="+0.">\n 1.5E2 </IntData><IntData h="-0" v=" 90 ">.5D0</IntData>'
    file = read(
        listed, counts="<NumberMeasured>2.0</NumberMeasured><NumberHorz>1</NumberHorz><NumberVert>2</NumberVert>"
    )
    assert codes(file) == [20, 43] and file.distribution.candela[0].tolist() == [150, 0.5]
    assert read(watts="<InputWattage> 1.5D1 </InputWattage>").input_watts == 15
    assert refused(counts="<NumberMeasured>2.5</NumberMeasured>").code == 21
    assert refused(counts="<NumberMeasured>3e0</NumberMeasured>").code == 20


def test_words_among_the_points_are_not_dropped_silently() -> None:
    good = '<IntData h="0" v="0">1</IntData>{}<IntData h="0" v="90">0</IntData>'
    assert refused(good.format("12.5"), counts="").code == 27
    for blanks in (5, 9000, 300_000):
        assert refused(good.format(" " * blanks + "12.5"), counts="").code == 27
    assert refused('<IntData h="0" v="0">1<b/></IntData>', counts="").code == 27
    assert read(good.format("<!-- a remark -->"), counts="").distribution.candela.max() == 1


def test_zero_negative_and_dark() -> None:
    assert codes(read([(0, 0, 0), (0, 45, 0), (0, 90, 0)])) == [58]
    assert codes(read([(0, 0, 100), (0, 45, 9), (0, 90, -0.5)])) == [51]
    assert codes(read(watts="")) == [138] and codes(read(watts="<InputWattage>-3</InputWattage>")) == [106]


def test_looks_like_tm33_goes_by_the_first_letter() -> None:
    for start in (b"<?xml?>", b" \r\n\t<a/>", b"\xef\xbb\xbf<a/>", "<a/>".encode("utf-16"), "<a/>".encode("utf-16-be")):
        assert looks_like_tm33(start)
    for start in (b"", b"IESNA91\n", b"x<", b"\xff\xfe", b"\0" * 9):
        assert not looks_like_tm33(start)
