"""Flash patterns of a scene: read as written, later entries win, and what cannot be meant is refused with its place."""

from __future__ import annotations

from pathlib import Path

import pytest
from broken_scenes import BASE

from scenelux.errors import DocumentError
from scenelux.scene.model import SceneDocument
from scenelux.scene.read import read_scene
from scenelux.scene.signals import pattern_of
from scenelux.scene.variants import apply_variant
from scenelux.timing import named_pattern

SIGNALS = """
[patterns]
pair = "75 per minute: 2 x (on 60 ms, off 60 ms), off"
"double flash" = "on 100 ms, off 300 ms"
[[signals]]
circuit = "tail scene"
pattern = "pair"
[[signals]]
lamps = ["tail-left", "second/tail-left"]
pattern = "pair"
phase = "50 %"
group = "both"
[[signals]]
lamps = ["tail-right"]
pattern = "double flash"
phase = "50 ms"
light = ["night"]
[[signal_criteria]]
id = "seen"
quantity = "effective intensity"
statistic = "minimum"
sense = "at least"
limit = 100
because = "Agreed."
zone = "C"
[variants.calm]
say = "No flashing"
signals = [{ circuit = "tail scene", pattern = "steady" }]
"""


def read(tmp_path: Path, text: str) -> SceneDocument:
    file = tmp_path / "scene.toml"
    file.write_text(BASE + text, encoding="utf-8")
    return read_scene(file)


def test_patterns_come_by_name_of_the_scene_then_by_common_name_then_as_steps(tmp_path: Path) -> None:
    scene = read(tmp_path, SIGNALS + '[[signals]]\ncircuit = "tail scene"\npattern = "triple flash"\n')
    first, second, third, fourth = (pattern_of(scene, entry) for entry in scene.signals)
    assert first.period_us == 800_000 and first.phase_us == 0
    assert second == first.delayed(400_000)
    assert third.steps == ((100_000, 1.0), (300_000, 0.0)) and third.phase_us == 50_000
    assert fourth == named_pattern("triple flash")


def test_an_entry_holds_for_its_lamps_states_and_light(tmp_path: Path) -> None:
    first, second, third = read(tmp_path, SIGNALS).signals
    assert first.holds("tail-left", "tail scene", "working", "night")
    assert not first.holds("tail-left", "warning", "working", "night")
    assert second.holds("second/tail-left", "tail scene", "working", "day")
    assert not second.holds("second/tail-right", "tail scene", "working", "day")
    assert third.holds("tail-right", "tail scene", "working", "night")
    assert not third.holds("tail-right", "tail scene", "working", "day")


def test_signals_of_a_variant_come_last(tmp_path: Path) -> None:
    scene = read(tmp_path, SIGNALS)
    calm = apply_variant(scene, "calm")
    assert calm.signals[:-1] == scene.signals
    assert pattern_of(calm, calm.signals[-1]).is_steady
    assert calm.vehicles == scene.vehicles


OWN = 'id = "seen"\nquantity = "effective intensity"\n'


@pytest.mark.parametrize(
    ("old", "new", "place", "says"),
    [
        ('pattern = "pair"\nphase', 'pattern = "pear"\nphase', "signals[1].pattern", 'did you mean "pair"'),
        ('pattern = "pair"\nphase', "pattern = 3\nphase", "signals[1].pattern", "is not text"),
        ('pattern = "pair"\nphase', 'pattern = "on 3 weeks"\nphase', "signals[1].pattern", "a unit of time"),
        ("off 60 ms), off", "off 60 ms), of", "patterns.pair", '"of" at character'),
        ('"on 100 ms, off 300 ms"', "[1]", 'patterns."double flash"', "is not text"),
        ('"50 %"', '"50 percent"', "signals[1].phase", 'such as "250 ms" or "50 %"'),
        ('lamps = ["tail-right"]', 'lamps = ["tail-rite"]', "signals[2].lamps[0]", 'did you mean "tail-right"'),
        ('lamps = ["tail-right"]', "", "signals[2]", "does not say which lamps"),
        ('lamps = ["tail-right"]', 'lamps = ["tail-right"]\ncircuit = "warning"', "signals[2]", "which lamps"),
        ('light = ["night"]', 'light = ["nite"]', "signals[2].light[0]", 'did you mean "night"'),
        ('light = ["night"]', 'states = ["off"]', "signals[2].states[0]", "is not a duty state"),
        ("steady", "steadi", "variants.calm.signals[0].pattern", "is not the name"),
        ('signals = [{ circuit = "tail scene", pattern = "steady" }]', "", "variants.calm", "changes or signals"),
        (OWN, 'requirement = "x"\n' + OWN, "signal_criteria[0]", "names a requirement and also gives id"),
        (SIGNALS[SIGNALS.index(OWN) : SIGNALS.index('zone = "C"')], 'requirement = "kkk_spam"\n',
         "signal_criteria[0].requirement", 'did you mean "kkk_span"'),
        ('zone = "C"', 'model = "alard"', "signal_criteria[0].model", "blondel-rey-douglas"),
        (OWN, 'id = "seen"\n', "signal_criteria[0]", "has no quantity"),
        ("effective intensity", "effective lumen", "signal_criteria[0].quantity", "is not a quantity"),
        ('zone = "C"', 'zone = "C"\nheading = [0, 90]', "signal_criteria[0]", "both a zone and a heading"),
        ('zone = "C"', "elevation = [-20, 0]", "signal_criteria[0].elevation[0]", "from -8 to 8 deg"),
        ('zone = "C"', "elevation = [4, 0]", "signal_criteria[0].elevation", "does not rise"),
        ('zone = "C"', 'height = "1 m"\nelevation = [0, 0]', "signal_criteria[0]", "both a height and an elevation"),
        ('zone = "C"', 'circuit = "warnin"', "signal_criteria[0].circuit", 'did you mean "warning"'),
        ('zone = "C"', 'circuit = "warning"\nlamps = ["tail-left"]', "signal_criteria[0]", "both lamps and a circuit"),
    ],
)  # fmt: skip
def test_refused_with_the_place(tmp_path: Path, old: str, new: str, place: str, says: str) -> None:
    assert SIGNALS.count(old) == 1
    with pytest.raises(DocumentError) as error:
        read(tmp_path, SIGNALS.replace(old, new))
    said = str(error.value)
    assert place in said and says in said and "\n" not in said
    assert error.value.line is not None and error.value.line > len(BASE.splitlines())
