"""Strip charts and polar sheets: they say what they show, nothing on them overlaps or is cut, lines differ in grey."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from matplotlib.lines import Line2D

from scenelux.pictures.sheet import BODY, HEIGHT_IN, MARGIN_IN, WIDTH_IN, Sheet, png_bytes
from scenelux.pictures.signal import signal_pictures
from scenelux.pictures.signal.courses import looks_of
from scenelux.pictures.signal.polar import CURVES, polar_sheets
from scenelux.pictures.signal.strip import strip_sheet
from scenelux.study.results.signal import SignalStudy
from tests.unit.pictures.signal.flashing import signal_study

STUDY = signal_study()
LONG = "a rather long name of a circuit that somebody gave to its lamps"


def words(sheet: Sheet) -> str:
    return " ".join(line.text for line in sheet.writing.lines)


def sheets_of(study: SignalStudy) -> dict[str, Sheet]:
    variant = study.variants[0]
    found = dict(polar_sheets(study, variant))
    for looks in looks_of(variant):
        found[f"strip-{looks.case.state}-{looks.case.light}.png"] = strip_sheet(study, variant, looks)
    return found


def crowded() -> SignalStudy:
    """Long names everywhere, eight rows more, a third light level, limits wherever they can be."""
    variant, about = STUDY.variants[0], STUDY.about
    cases = []
    for case in variant.cases:
        lamps = [replace(one, circuit=f"{one.circuit} {LONG}", pattern=f"{one.pattern}, {LONG}") for one in case.lamps]
        steady = [replace(lamps[-1], circuit=f"{LONG} {at}", level=0.3) for at in range(8)]
        levels = np.vstack((case.levels, np.full((8, 8), 0.3)))
        flashing = np.append(case.flashing, np.zeros(8, np.bool_))
        cases.append(replace(case, lamps=(*lamps, *steady), levels=levels, flashing=flashing))
    more = [np.vstack((ring.by_lamp_cd, ring.by_lamp_cd[:1].repeat(8, 0))) for ring in variant.rings]
    rings = tuple(
        replace(ring, by_lamp_cd=one, says=f"{ring.says}, {ring.says}, {ring.ring_id}")
        for ring, one in zip(variant.rings, more, strict=True)
    )
    dusk = [replace(case, light="dusk", levels=0.5 * case.levels) for case in cases if case.light == "night"]
    verdicts = tuple(
        replace(row, name=f"{row.name}, {LONG}", limit=row.limit * factor, rule=f"{row.rule} {factor}")
        for row in variant.verdicts
        for factor in (1.0, 0.6, 2.0)
    )
    states = {key: f"{text}, {LONG}" for key, text in about.states.items()}
    about = replace(about, states=states, lights={**about.lights, "day": LONG, "dusk": LONG}, title=f"{LONG}, {LONG}")
    drawn = (*variant.lamps, *variant.lamps[-1:] * 8)
    full = replace(variant, cases=(*cases, *dusk), verdicts=verdicts, rings=rings, lamps=drawn)
    return replace(STUDY, about=about, variants=(full,))


@pytest.fixture(scope="module")
def sheets() -> dict[str, Sheet]:
    return sheets_of(STUDY)


def overlaps(sheet: Sheet) -> Iterator[tuple[str, str]]:
    """Pairs of lines whose letters lie over each other by more than a hundredth of an inch."""
    lines = [line for line in sheet.writing.lines if line.text.strip()]
    for one, other in combinations(lines, 2):
        a, b = one.extent_in, other.extent_in
        if min(a[2], b[2]) - max(a[0], b[0]) > 0.012 and min(a[3], b[3]) - max(a[1], b[1]) > 0.02:
            yield one.text, other.text


def outside(sheet: Sheet) -> list[str]:
    edge = MARGIN_IN - 0.08
    return [
        line.text
        for line in sheet.writing.lines
        if line.extent_in[0] < edge or line.extent_in[1] < 0.1
        or line.extent_in[2] > WIDTH_IN - edge or line.extent_in[3] > HEIGHT_IN - 0.1
    ]  # fmt: skip


def test_every_state_has_its_sheets(sheets: dict[str, Sheet]) -> None:
    assert list(sheets) == [
        "polar-blocking.png", "polar-eyes-blocking.png", "polar-working.png", "polar-eyes-working.png",
        "strip-blocking-day.png", "strip-blocking-night.png", "strip-working-day.png", "strip-working-night.png",
    ]  # fmt: skip


@pytest.mark.parametrize("study", [STUDY, crowded()], ids=["plain", "crowded"])
def test_no_words_overlap_and_none_is_cut(study: SignalStudy) -> None:
    for name, sheet in sheets_of(study).items():
        assert not list(overlaps(sheet)), name
        assert not outside(sheet), name


def test_day_and_night_stand_side_by_side_with_all_that_a_reader_needs(sheets: dict[str, Sheet]) -> None:
    said = words(sheets["polar-blocking.png"])
    for text in ("Day", "Night, warning lamps dimmed", "A front", "B right", "C rear", "D left", "counter-clockwise",
                 "form factor", "INVENTED DEMONSTRATION DATA", "CAUTION", "unconfirmed: decides nothing", "to scale",
                 "scenelux signal of invented-truck", "8 deg above level", "from mean to peak"):  # fmt: skip
        assert text in said, text


def test_the_least_is_told_with_its_heading(sheets: dict[str, Sheet]) -> None:
    case = next(one for one in STUDY.variants[0].cases if (one.state, one.light) == ("blocking", "night"))
    values = case.measures_of("far0", "flashing").effective_cd["form factor"]
    said, at = words(sheets["polar-blocking.png"]), 5 * int(np.argmin(values))
    assert f"{values.min():.3g} cd at {at} deg" in said
    assert f"Least effective intensity, far away, level: {values.min():.3g} cd, heading {at} deg and elsewhere" in said


def test_limits_stand_at_their_values_and_unconfirmed_ones_are_dashed(sheets: dict[str, Sheet]) -> None:
    sheet = sheets["polar-blocking.png"]
    assert "[1] ≥ 230 cd" in words(sheet) and "[1] ≥ 100 cd" in words(sheet) and "[2] ≥ 20 cd" in words(sheet)
    arcs = [line for line in sheet.artists if isinstance(line, Line2D) and len(line.get_xdata()) > 200]
    dashed = [line for line in arcs if line.get_linestyle() != "-"]
    centres = {round(float(np.mean(line.get_xdata()[:-1])), 2) for line in dashed}
    assert len(dashed) == 4 and len(centres) == 2


def test_a_direction_that_misses_a_published_limit_has_a_black_bar_outside_the_dial(sheets: dict[str, Sheet]) -> None:
    """At night four directions lie under 20 cd; by day none does."""
    bars = [
        line
        for line in sheets["polar-blocking.png"].artists
        if isinstance(line, Line2D) and line.get_linewidth() == 4.0
    ]
    short = [
        line for line in bars if line.get_color() == "black" and len(line.get_xdata()) < 8 and line.get_ydata()[0] > 2.4
    ]
    assert len(short) == 4
    assert all(float(np.min(line.get_xdata())) > WIDTH_IN / 2 for line in short)


def test_curves_differ_in_their_dashes_alone() -> None:
    assert len({str(dashes) for _, dashes, _ in CURVES}) == len(CURVES)


def test_a_strip_chart_tells_levels_the_darkest_stretch_and_the_measures(sheets: dict[str, Sheet]) -> None:
    said = words(sheets["strip-working-night.png"])
    for text in ("rear warning: left", "40 %, 75 per minute", "100 %, steady", "Towards the rear", "Towards the left",
                 "darkest, 0 cd for 0.4 s", "time [s]", "one common cycle of 0.8 s", "75 flashes per minute",
                 "steady lamps, not drawn: 2500 cd", "effective 240 cd (form factor)", "some lamp that flashes is lit",
                 ):  # fmt: skip
        assert text in said, text


def test_a_vehicle_that_goes_dark_is_told() -> None:
    variant = STUDY.variants[0]
    case = replace(variant.cases[0], levels=variant.cases[0].levels * np.array([1, 1, 1, 0, 0, 0, 1, 1]))
    sheet = strip_sheet(STUDY, variant, looks_of(replace(variant, cases=(case,)))[0])
    assert "all lamps that flash are off at once, for up to 0.3 s on end" in words(sheet)


def test_clocks_that_run_apart_are_told_on_every_sheet() -> None:
    variant, apart = STUDY.variants[0], "2 clocks run apart (truck, van): shown as they begin together"
    cases = tuple(replace(case, notes=(apart,)) for case in variant.cases[:1])
    for sheet in sheets_of(replace(STUDY, variants=(replace(variant, cases=cases),))).values():
        assert apart in words(sheet)


def test_a_side_without_light_is_told_in_words() -> None:
    variant = STUDY.variants[0]
    rings = tuple(
        replace(ring, by_lamp_cd=ring.by_lamp_cd * np.array([[1, 1, 0, 0, 1, 1, 1]]).T * (ring.by_lamp_cd > 5.0))
        for ring in variant.rings
    )
    none = [replace(one, peak_cd=np.where(np.arange(72) == 18, 0.0, one.peak_cd)) for one in variant.cases[0].measures]
    case = replace(variant.cases[0], measures=tuple(none))
    dark = replace(variant, rings=rings, cases=(case,))
    assert "no lamp that flashes sends light there" in words(strip_sheet(STUDY, dark, looks_of(dark)[0]))


def test_the_same_study_gives_the_same_bytes(sheets: dict[str, Sheet]) -> None:
    again = sheets_of(STUDY)
    for name in ("polar-blocking.png", "strip-working-night.png"):
        assert png_bytes(again[name]) == png_bytes(sheets[name])


def test_names_of_variants_stand_in_names_of_files_where_there_are_several() -> None:
    two = replace(STUDY, variants=(STUDY.variants[0], replace(STUDY.variants[0], name="raised")))
    names = [picture.name for picture in signal_pictures(two, animation=False)]
    assert "polar-as-written-blocking.png" in names and "strip-raised-working-night.png" in names
    assert len(set(names)) == len(names) == 16


def test_everything_drawn_stays_on_the_body(sheets: dict[str, Sheet]) -> None:
    for name, sheet in sheets.items():
        drawn = [line for line in sheet.artists if isinstance(line, Line2D)]
        mine = [line for line in drawn if line.get_transform() == sheet.dpi_scale_trans and len(line.get_xdata())]
        places = np.concatenate([line.get_xydata() for line in mine])
        assert np.nanmin(places[:, 0]) >= BODY.left - 0.01 and np.nanmax(places[:, 0]) <= BODY.right, name
        assert np.nanmin(places[:, 1]) >= BODY.bottom and np.nanmax(places[:, 1]) <= BODY.top, name
