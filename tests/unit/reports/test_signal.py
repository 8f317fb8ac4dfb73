"""Rows of flashing lamps say where they hold in as few words as they can, and in the units of the output."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from scenelux.reports.signal.arcs import arc_words
from scenelux.reports.signal.cases import EVERYWHERE, where_words
from scenelux.reports.signal.document import signal_document
from scenelux.reports.signal.rows import opening_lines, said_lines, short_tables, signal_tables
from scenelux.study.results.signal import SignalStudy
from scenelux.study.signal.run import look_at_signals
from tests.unit.study.signal.flashing import scene_of

SIGNALS = """
[[signals]]
circuit = "warning"
pattern = "on 100 ms, off 900 ms"
[[signal_criteria]]
id = "seen"
quantity = "effective intensity"
statistic = "minimum"
sense = "at least"
limit = 100
because = "Asked for."
height = 1.2
"""


@pytest.fixture(scope="module")
def study(tmp_path_factory: pytest.TempPathFactory) -> SignalStudy:
    folder: Path = tmp_path_factory.mktemp("balls")
    return look_at_signals(scene_of(folder, SIGNALS), units="us")


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ([(state, light) for state in ("warn", "work") for light in ("day", "night")], EVERYWHERE),
        ([("warn", "day"), ("warn", "night")], "Warning"),
        ([("warn", "day"), ("work", "day")], "Warning / Working · Day"),
        ([("warn", "day"), ("work", "day"), ("work", "night")], "Warning · Day | Working"),
    ],
)
def test_states_and_light_levels_in_words(study: SignalStudy, keys: list[tuple[str, str]], words: str) -> None:
    assert where_words(study, study.variants[0], keys) == words


def test_headings_in_words_have_their_side() -> None:
    ring = np.arange(0.0, 360.0, 5.0)
    for heading, side in ((0, "front"), (40, "front"), (50, "left"), (180, "rear"), (270, "right"), (320, "front")):
        assert arc_words(ring, ring == heading) == f"heading {heading} deg ({side})"
    assert arc_words(ring, ring >= 0) == "all round" and arc_words(ring, ring < 0) == "none"
    assert arc_words(ring, ring != 90) == "heading 95 to 85 deg"
    assert arc_words(ring, ring % 90 == 0).endswith("270 deg (right) ..")


def test_what_is_the_same_everywhere_stands_once(study: SignalStudy) -> None:
    variant = study.variants[0]
    told = opening_lines(study)
    assert told[0] == "4 verdicts meet, 0 miss, 0 not assessed (1 rule): every rule applied is met"
    outshone = "In 72 of 72 directions, far away, level, steady lamps outshine the flash (Working · Night)."
    assert told[1:] == [outshone]  # what no rule speaks of
    tables = {table.title.split(" [")[0].split(" of the lamps")[0]: table for table in signal_tables(study, variant)}
    verdicts = tables["Verdicts"].rows
    assert [row[4] for row in verdicts] == ["Warning / Working · Day", "Warning / Working · Night"]
    assert "eyes 3 ft 11 in up, 82.0 ft away" in verdicts[0][3]
    assert {row[1] for row in tables["Flash safety"].rows if row[0].startswith("flashes")} == {EVERYWHERE}
    assert short_tables(study, variant)[0].title == "Verdicts"
    lines = said_lines(study, variant)
    assert len(lines) == len(set(lines)) and any("above" in line for line in lines)


def test_the_document_names_its_models_and_its_choices(study: SignalStudy) -> None:
    document = signal_document(study)
    assert document["effective_intensity_models"][0] == "blondel-rey-douglas" and document["units_of_output"] == "us"
    assert document["dark_below_share_of_mean"] == 0.1
    assert document["variants"][0]["colours"][0]["verdict"] == "not assessed"
