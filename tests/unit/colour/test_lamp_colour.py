"""What a word, a chromaticity or a spectrum says of a lamp's colour, and what it does not."""

from __future__ import annotations

import numpy as np
import pytest

from scenelux.colour import LampColour, check_colour, lamp_colour, planckian_xy, signal_regions, spectrum_of
from scenelux.colour.limits import parse_limit
from scenelux.errors import InputError, UsageError
from scenelux.names import COLOUR_WORDS
from scenelux.scene.cards import Card
from scenelux.sources import Source

NM = np.arange(380.0, 781.0, 5.0)
WHITE = spectrum_of(NM, 0.9 * np.exp(-(((NM - 450) / 12) ** 2)) + np.exp(-(((NM - 560) / 65) ** 2)))
AMBER = spectrum_of(NM, np.exp(-(((NM - 592) / 8) ** 2)))
SHEET = Source("Test report of an invented lamp", status="invented")


def test_white_by_its_temperature_is_assumed_on_the_locus() -> None:
    found = lamp_colour("white 5000 K")
    assert found.chromaticity_xy.value == pytest.approx(planckian_xy(5000.0), abs=6e-5)
    assert found.chromaticity_xy.assumed and found.chromaticity_xy.source is not None
    assert found.chromaticity_xy.source.status == "unconfirmed"
    assert (found.name, found.word, found.cct_k.value, found.duv.value) == ("white 5000 K", "white", 5000.0, None)
    assert found.sp_ratio.value == pytest.approx(1.722 + 0.9 * (1.848 - 1.722), abs=1e-4)
    assert found.sp_ratio.source is not None and found.sp_ratio.source.status == "unconfirmed"


@pytest.mark.parametrize("kelvin", [1000, 2700, 7000, 20_000])
def test_no_ratio_beyond_the_tabled_temperatures(kelvin: int) -> None:
    found = lamp_colour(f"white {kelvin} K")
    assert found.cct_k.value == kelvin and found.chromaticity_xy.value is not None
    assert found.sp_ratio.value is None and f"{kelvin} K" in found.sp_ratio.because


@pytest.mark.parametrize("word", [word for word in COLOUR_WORDS if word != "white"])
def test_a_word_is_no_point(word: str) -> None:
    found = lamp_colour(word)
    for figure in (found.chromaticity_xy, found.cct_k, found.duv, found.sp_ratio):
        assert figure.value is None and figure.source is None and figure.because
    assert word in found.cct_k.because and word in found.sp_ratio.because


def test_white_alone_and_nothing_at_all() -> None:
    white, nothing = lamp_colour("white"), lamp_colour()
    assert white.chromaticity_xy.because == "white without a colour temperature is a region of colours, not a point"
    assert white.sp_ratio.because == "it needs a spectrum or a colour temperature"
    assert (nothing.name, nothing.word, nothing.chromaticity_xy.because) == ("not stated", None, "no colour is stated")
    assert check_colour(nothing) == ()


def test_a_spectrum_gives_everything() -> None:
    found = lamp_colour("white", spectrum=WHITE, source=SHEET)
    assert found.cct_k.value is not None and 4000 < found.cct_k.value < 9000
    assert found.duv.value is not None and abs(found.duv.value) < 0.05
    assert found.sp_ratio.value is not None and 1.0 < found.sp_ratio.value < 3.0
    for figure in (found.chromaticity_xy, found.cct_k, found.duv, found.sp_ratio):
        assert figure.source == SHEET and not figure.assumed and not figure.because


def test_a_chromaticity_near_the_locus_gives_a_temperature_and_a_default_ratio() -> None:
    found = lamp_colour(chromaticity_xy=(0.3451, 0.3516), source=SHEET)
    assert (found.name, found.word) == ("white", None)
    assert found.cct_k.value == pytest.approx(5000.0, abs=5.0)
    assert found.sp_ratio.assumed and found.sp_ratio.value == pytest.approx(1.835, abs=2e-3)


def test_an_amber_spectrum() -> None:
    found = lamp_colour("amber", spectrum=AMBER, source=SHEET)
    assert found.cct_k.because == "only white has a colour temperature, and this is amber"
    assert found.sp_ratio.value is not None and found.sp_ratio.value < 0.6
    rows = {row.region.id: row.verdict for row in check_colour(found)}
    assert rows["j578_amber"] == "inside" and rows["colreg_yellow"] == "inside"


def test_stated_figures_go_before_computed_ones_and_differences_are_told() -> None:
    found = lamp_colour("white 2700 K", spectrum=WHITE, sp_ratio=0.5, source=SHEET)
    assert (found.sp_ratio.value, found.sp_ratio.source) == (0.5, SHEET)
    assert found.cct_k.value != 2700.0
    assert found.notes[0].startswith("called 2700 K, and its chromaticity has ")
    assert found.notes[1].startswith("an S/P ratio of 0.5 is stated, and the spectrum has ")
    assert lamp_colour("white", spectrum=WHITE).notes == ()


@pytest.mark.parametrize("text", ["white 999 K", "white 20001 K", "White", "amber ", "white 5000K", "", "white 5e3 K"])
def test_words_that_are_no_colour(text: str) -> None:
    with pytest.raises(UsageError, match=f'^"{text}" is not a colour that is known here; give "white 5000 K"'):
        lamp_colour(text)
    with pytest.raises(ValueError, match="colour"):
        Card.model_validate(card(text))


@pytest.mark.parametrize("text", [*COLOUR_WORDS, "white 1000 K", "white 5000 K", "white 20000 K"])
def test_cards_and_colours_know_the_same_words(text: str) -> None:
    assert Card.model_validate(card(text)).colour == lamp_colour(text).name == text


def card(colour: str) -> dict[str, object]:
    return {
        "format": "scenelux luminaire 1", "name": "x", "kind": "work", "file": "x.ies", "colour": colour,
        "data_class": "measured file", "source": {"title": "x", "status": "invented"},
    }  # fmt: skip


@pytest.mark.parametrize("xy", [(0.05, 0.05), (0.9, 0.1), (float("nan"), 0.3), (float("inf"), 0.3), (0.7, 0.35)])
def test_colours_of_no_light(xy: tuple[float, float]) -> None:
    with pytest.raises(InputError, match="is not the colour of any light"):
        lamp_colour("red", chromaticity_xy=xy)


def verdicts(lamp: LampColour) -> dict[str, tuple[str, str]]:
    return {row.region.id: (row.verdict, row.says) for row in check_colour(lamp)}


def test_an_amber_lamp_outside() -> None:
    rows = verdicts(lamp_colour("amber", chromaticity_xy=(0.600, 0.380)))
    assert set(rows) == {"j578_amber", "colreg_yellow", "cie_road_signal_yellow", "french_order_amber"}
    assert {verdict for verdict, _ in rows.values()} == {"outside"}
    assert rows["colreg_yellow"][1] == (
        "amber lamp at (0.600, 0.380) lies outside yellow of COLREG 1972, Annex I, section 7"
    )


def test_yellow_and_amber_are_checked_alike() -> None:
    amber, yellow = (verdicts(lamp_colour(word, chromaticity_xy=(0.585, 0.405))) for word in ("amber", "yellow"))
    assert {key: verdict for key, (verdict, _) in amber.items()} == {key: v for key, (v, _) in yellow.items()}
    assert yellow["j578_amber"] == (
        "inside", "yellow lamp at (0.585, 0.405) lies inside amber of SAE J578, 2020, corners of amber",
    )  # fmt: skip


def test_unconfirmed_regions_are_not_assessed() -> None:
    rows = verdicts(lamp_colour("blue", chromaticity_xy=(0.15, 0.30)))
    assert rows["j578_blue"][0] == "outside"  # the edition of 2020
    assert rows["j578_blue_before_2020"] == (
        "not assessed",
        "blue lamp at (0.150, 0.300) would lie inside blue of SAE J578, before 2020, limits of signal blue: "
        "not assessed, the region is unconfirmed",
    )
    assert rows["r65_blue"][0] == "not assessed"


def test_assumed_and_missing_points_are_not_assessed() -> None:
    for lamp, because in (
        (lamp_colour("white 5000 K"), "the chromaticity is assumed from the colour temperature"),
        (lamp_colour("red"), "a word is a region of colours, not a point"),
        (
            lamp_colour("red", chromaticity_xy=(0.69, 0.305), source=Source("hearsay")),
            "the chromaticity is unconfirmed",
        ),
    ):
        rows = check_colour(lamp)
        assert rows and {row.verdict for row in rows} == {"not assessed"}
        for row in rows:
            assert row.because in (because, "the region is unconfirmed") and row.says.endswith(row.because)


@pytest.mark.parametrize("colour", sorted({region.colour for region in signal_regions()}))
def test_every_region_belongs_to_a_word_of_lamps(colour: str) -> None:
    assert colour in COLOUR_WORDS
    assert check_colour(lamp_colour(colour))


@pytest.mark.parametrize(
    "text", ["", "y < 0.3", "y <= ", "y <= 0.3 x y", "q <= 0.3", "y <= max(0.1)", "y <= min(0.1, x)",
             "y >= max(0.1, x)", "y <= 0.3 0.4", "y <= xy", "y <= 0.3.1"],
)  # fmt: skip
def test_texts_that_are_no_limit(text: str) -> None:
    with pytest.raises(ValueError, match="not a"):
        parse_limit(text)


def test_a_chained_sum_is_a_limit() -> None:
    limit = parse_limit("y >= - 0.100 + 2 x - yP")
    assert limit.holds({"x": 0.3, "y": 0.2, "yP": 0.3, "z": 0.5})
    assert not limit.holds({"x": 0.3, "y": 0.19, "yP": 0.3, "z": 0.51})
    assert not limit.holds({"x": 0.3, "y": 0.9, "yP": float("nan"), "z": 0.0})
