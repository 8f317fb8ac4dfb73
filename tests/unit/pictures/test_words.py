"""One rounding and one set of words for pictures and reports."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scenelux.names import slug
from scenelux.pictures.sentences import comparison_sentences, flips
from scenelux.pictures.words import counts_sentence, data_classes, plane_text, source_line
from scenelux.units import figure
from tests.unit.pictures.example import study_example


@given(st.floats(1e-4, 1e6), st.floats(1e-4, 1e6))
def test_a_printed_value_lies_on_its_own_side_of_the_limit(value: float, limit: float) -> None:
    shown = float(figure(value, limit))
    assert (shown > limit) - (shown < limit) == (value > limit) - (value < limit) or abs(value / limit - 1) < 1e-9


@given(st.floats(1e-4, 1e8))
def test_three_figures(value: float) -> None:
    assert float(figure(value)) == pytest.approx(value, rel=5.1e-3)


@pytest.mark.parametrize("meets", [0, 1, 5])
@pytest.mark.parametrize("open_rules", [1, 3])
def test_never_all_met_while_a_rule_is_open(meets: int, open_rules: int) -> None:
    met = replace(study_example().variants[0].verdicts[0], verdict="meets")
    sentence = counts_sentence([met] * meets + [replace(met, rule="other", verdict="not assessed")] * open_rules)
    assert "every" not in sentence and "all" not in sentence
    assert f"{open_rules} not assessed" in sentence


def test_verdicts_and_rules_are_counted_apart() -> None:
    met = replace(study_example().variants[0].verdicts[0], verdict="meets")
    assert counts_sentence([met, met]) == "2 verdicts meet, 0 miss, 0 not assessed (1 rule): every rule applied is met"
    assert counts_sentence([met, replace(met, rule="b", verdict="misses")]) == (
        "1 verdict meets, 1 miss, 0 not assessed (2 rules)"
    )


@pytest.mark.parametrize("value", [999.9999, 1000.0, 9.9999e5, 3.2e9, 1.5e14, 4e-7, -2.5e-9])
def test_no_figure_is_a_power_of_ten(value: float) -> None:
    assert "e" not in figure(value) and float(figure(value)) == pytest.approx(value, rel=5.1e-3)


def test_file_names_are_plain() -> None:
    assert slug("../../etc", "a b/c", "") == "etc-a-b-c-x"


def test_sources_name_scene_and_inputs() -> None:
    line = source_line(study_example())
    assert "causeway-truck.toml (a1a1a1a1)" in line and "tail-flood-round.ies" in line
    assert "fitted from one figure" in data_classes(study_example())
    assert "invented" in data_classes(study_example())


def test_comparison_in_words() -> None:
    result = study_example()
    tilted, flat = result.variants
    text = "\n".join(comparison_sentences(result, flat, tilted))
    assert text.startswith("Verdict that flips: nfpa_rear_minimum")
    assert "\nNight, warning lamps dimmed, crew at the rear:\n" in text
    assert "Rear work area: tilted puts 249 lx (23.1 fc) on average, flat 34.8 lx (3.23 fc)" in text
    assert "Car in the next lane: the driver's veil with tilted is 0.435 of flat, 1.49 against 3.43 cd/m²" in text
    assert "nfpa_rear_minimum, Rear work area: misses in flat, meets in tilted" in text
    assert "No veil in either for: Car, opposite lane; Truck, opposite lane." in text
    assert {(a.rule, a.verdict, b.verdict) for a, b in flips(flat, tilted)} == {
        ("nfpa_rear_minimum", "misses", "meets")
    }
    assert comparison_sentences(result, flat, flat)[0] == "No verdict flips."
    assert "The same in both: Rear work area;" in "\n".join(comparison_sentences(result, flat, flat))


def test_a_narrow_verdict_is_told_in_words() -> None:
    result = study_example()
    tilted, flat = result.variants
    because = "Smallest 3.98 fc against at least 3 fc; margin inside data uncertainty (10 %), and it would miss 5 fc."
    row = replace(flat.verdicts[0], inside_uncertainty=True, verdict="meets", because=because)
    text = "\n".join(comparison_sentences(result, replace(flat, verdicts=(row,)), tilted))
    assert (
        "Rear work area, nfpa_rear_average: flat meets narrowly: smallest 3.98 fc against at least 3 fc; "
        "margin inside data uncertainty (10 %), and it would miss 5 fc (crew at the rear: "
    ) in text
    silent = replace(row, value=31.4, because="")
    text = "\n".join(comparison_sentences(result, replace(flat, verdicts=(silent,)), tilted))
    assert "average 31.4 lx against at least 30 lx; margin inside data uncertainty" in text
    open_one = replace(row, verdict="not assessed")
    assert "narrowly" not in "\n".join(comparison_sentences(result, replace(flat, verdicts=(open_one,)), tilted))


def test_an_area_on_a_body_is_told_by_its_body() -> None:
    area = replace(study_example().variants[0].areas[0], height_m=0.0)
    assert plane_text(area, "us").endswith("on the ground")
    assert plane_text(replace(area, on="bumper"), "us").endswith("on the bumper")
    assert plane_text(replace(area, on="bumper", height_m=0.9144), "us").endswith("3 ft above the bumper")
    assert plane_text(replace(area, height_m=0.9144), "us").endswith("3 ft up")


def test_comparison_of_a_variant_without_areas_or_eyes() -> None:
    result = study_example()
    bare = replace(result.variants[0], areas=(), eyes=(), verdicts=())
    assert comparison_sentences(result, bare, bare) == ["No verdict flips."]
