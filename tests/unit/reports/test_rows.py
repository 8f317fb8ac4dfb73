"""Tables of a study: lamps with their levels, states with the same lamp levels together, dark ones in a sentence."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from scenelux.pictures.sentences import worst_veil
from scenelux.reports.glare import eye_table
from scenelux.reports.lamps import lamp_table
from scenelux.reports.rows import area_table, window_table
from scenelux.reports.states import dark_sentence, lit_levels
from scenelux.study.results import VariantResult
from scenelux.units import figure
from tests.unit.pictures.example import study_example

RESULT = study_example(only="tilted", spacing_m=0.5)
VARIANT = RESULT.variants[0]


def with_dark(*keys: tuple[str, str]) -> VariantResult:
    levels = {key: np.zeros(4) if key in keys else shares for key, shares in VARIANT.map.levels.items()}
    return replace(VARIANT, map=replace(VARIANT.map, levels=levels))


def test_the_lamp_schedule_gives_place_aim_and_level_of_every_lamp() -> None:
    table = lamp_table(RESULT, VARIANT)
    assert [row[0] for row in table.rows] == [lamp.lamp_id for lamp in VARIANT.lamps]
    flood, warning = table.rows[0], table.rows[2]
    assert flood[1:3] == ("tail-flood-round", "tail scene") and flood[4:] == ("180°", "-35°", "Crew at the rear: 100 %")
    assert flood[3] == "along -1 in, left 3 ft 2 in, up 7 ft 9 in"
    assert warning[6] == (
        "Crew at the rear, and Blocking, warning lamps only: 100 % (Day), 42 % (Night, warning lamps dimmed)"
    )
    dark = lamp_table(RESULT, with_dark(*VARIANT.map.levels))
    assert {row[6] for row in dark.rows} == {"off in every state"}


def test_a_row_of_glare_holds_every_gaze_of_an_eye() -> None:
    table = eye_table(RESULT, VARIANT)
    assert len(table.rows) == 4 * 4 and table.shown == 4
    eye = VARIANT.eyes[0]
    row = table.rows[0]
    assert row[1] == "Crew at the rear · Night, warning lamps dimmed"  # the most judged one
    own = [one for one in eye.entries if (one.state, one.light) == ("working", "night")]
    assert row[2:5] == tuple(figure(worst_veil(eye, one)) for one in own)
    assert len(table.numbered) == len(set(table.numbered)) == 2
    assert [table.numbered[int(number) - 1] for number in row[-1].split(", ")] == list(own[2].notes)


def test_states_with_the_same_lamp_levels_share_a_row_and_dark_ones_have_none() -> None:
    levels = dict(VARIANT.map.levels)
    levels["working", "night"] = levels["working", "day"]
    levels["blocking", "night"] = np.zeros(4)
    variant = replace(VARIANT, map=replace(VARIANT.map, levels=levels))
    assert [level.keys for level in lit_levels(variant)] == [
        (("working", "night"), ("working", "day")),
        (("blocking", "day"),),
    ]
    glare, areas = eye_table(RESULT, variant), area_table(RESULT, variant)
    assert (len(glare.rows), glare.shown) == (8, 4) and (len(areas.rows), areas.shown) == (6, 3)
    assert glare.rows[0][1] == "Crew at the rear · Night, warning lamps dimmed; Crew at the rear · Day"
    limit = glare.rows[0][glare.header.index("limit [cd/m²]")]
    assert limit.startswith("Night, warning lamps dimmed: 0.3 (") and "; Day: 3 (" in limit


@pytest.mark.parametrize(
    ("keys", "sentence"),
    [
        ((), ""),
        (tuple(VARIANT.map.levels), "No lamp is on in any duty state at any light level: there is no light to draw."),
        (
            (("blocking", "day"), ("blocking", "night")),
            "All lamps are off, so nothing is drawn or listed: Blocking, warning lamps only.",
        ),
        ((("working", "day"),), "All lamps are off, so nothing is drawn or listed: Crew at the rear · Day."),
    ],
)
def test_the_dark_is_told_in_a_sentence(keys: tuple[tuple[str, str], ...], sentence: str) -> None:
    assert dark_sentence(RESULT, with_dark(*keys)) == sentence


def test_a_window_says_why_it_has_no_value() -> None:
    window = replace(VARIANT.windows[0], vertical_lx=float("nan"), note="the window is inside the box")
    row = window_table(RESULT, replace(VARIANT, windows=(window,))).rows[0]
    assert row[2] == "not valid" and row[-1] == "the window is inside the box"
    assert window_table(RESULT, with_dark(("working", "night"))).rows == ()
