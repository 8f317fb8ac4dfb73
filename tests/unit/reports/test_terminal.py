"""What a reader sees at the terminal, and what a pipe gets."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pytest
from rich.console import Console

from scenelux.reports import print_comparison, print_study
from scenelux.study.formulas import glare_notes
from tests.unit.pictures.example import study_example

RESULT = study_example(only="tilted", spacing_m=0.5)


def printed(result: object = RESULT, width: int = 120, terminal: bool = False, compare: bool = False) -> str:
    stream = io.StringIO()
    console = Console(file=stream, width=width, force_terminal=terminal)
    if compare:
        print_comparison(result, console, first="flat", second="tilted")  # type: ignore[arg-type]
    else:
        print_study(result, console)  # type: ignore[arg-type]
    return stream.getvalue()


def test_the_first_line_counts_the_verdicts() -> None:
    assert printed().splitlines()[0] == "tilted: 6 verdicts meet, 4 miss, 2 not assessed (5 rules)"


def test_cautions_and_reasons_are_never_left_out() -> None:
    text = printed()
    assert all(f"Caution: {caution}" in text for caution in RESULT.cautions)
    assert "general_average: Not assessed: the source of this limit is unconfirmed." in text


def test_a_pipe_and_no_color_get_no_escapes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.delenv("FORCE_COLOR", raising=False)
    assert "\x1b" not in printed()
    assert "\x1b[" in printed(terminal=True)
    monkeypatch.setenv("NO_COLOR", "1")
    assert "\x1b" not in printed(terminal=True)  # no bold, no underline either


def test_formulas_are_folded_into_one_line() -> None:
    text = printed(replace(RESULT, notes=("the scene has one note", *glare_notes())), width=200)
    assert "Note: the scene has one note" in text and text.count("Note: ") == 1
    assert text.count("Formulas and their sources: see report.html") == 1
    assert "Formulas" not in printed()


def test_the_dark_is_told() -> None:
    one = RESULT.variants[0]
    levels = {key: np.zeros(4) for key in one.map.levels}
    dark = replace(one, map=replace(one.map, levels=levels), areas=(), eyes=(), windows=())
    assert "No lamp is on in any duty state at any light level" in printed(replace(RESULT, variants=(dark,)))


def test_a_narrow_window_keeps_every_verdict_word() -> None:
    for width in (60, 80):
        lines = printed(width=width).splitlines()
        table = lines[
            lines.index("Verdicts") + 1 : next(i for i, line in enumerate(lines) if "Light on the areas" in line)
        ]
        rows = [line for line in table if line.startswith(("verdict ", "misses ", "meets ", "not assessed ", "  "))]
        assert sum(line.startswith("misses ") for line in rows) >= 1
        assert max(len(line.rstrip()) for line in rows if not line.startswith("  general")) <= width


def test_state_and_light_stand_once_above_their_rows() -> None:
    lines = [line.rstrip() for line in printed(width=80).splitlines()]
    start = lines.index("Verdicts")
    assert lines[start + 1].split("  ")[0] == "verdict" and "state and light" not in lines[start + 1]
    assert lines[start + 2] == "Crew at the rear · Day"
    assert lines[start + 3].startswith("misses")
    assert len(lines) < 75  # two screens


def test_names_are_text_not_markup() -> None:
    variant = replace(RESULT.variants[0], areas=(replace(RESULT.variants[0].areas[0], name="[red]rear[/red] [/x]"),))
    assert "[red]rear[/red] [/x]" in printed(replace(RESULT, variants=(variant,), title="[bold]t"), width=200)


def test_narrow_margins_are_told() -> None:
    variant = RESULT.variants[0]
    row = replace(variant.verdicts[0], value=30.9, margin=0.9, inside_uncertainty=True)
    text = printed(replace(RESULT, variants=(replace(variant, verdicts=(row,)),)), width=220)
    assert "margin inside data uncertainty" in text


def test_a_comparison_speaks_in_sentences() -> None:
    lines = printed(study_example(spacing_m=0.5), compare=True).splitlines()
    assert lines[0].startswith("flat: ") and lines[1].startswith("tilted: ")
    text = "\n".join(lines)
    assert "Rear work area: tilted puts 249 lx (23.1 fc) on average, flat 34.8 lx (3.23 fc)" in text
    assert "is 0.435 of flat" in text and "Verdicts that flip" in text
