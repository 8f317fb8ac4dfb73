"""Wrong values of options: one sentence, status 2, and nothing is computed or written first."""

from __future__ import annotations

from pathlib import Path
from unittest.mock import patch

import pytest
from command import run

WORK = ("scenelux.engine.Contributions.by_lamp", "scenelux.study.view.view.luminance")
OUTPUT = {
    "folder that is a file": (("--out", "there"), '--out "there" is a file; give a folder'),
    "folder in a file": (("--out", "there/sub/deep"), "lies in there, which is a file"),
    "units of nowhere": (("--units", "imperial"), '--units "imperial" is not a system of units; give metric or us'),
    "variant unknown": (("--variants", "flat,tiltd"), 'did you mean "tilted"'),
    "variant twice": (("--variants", "flat,tilted,flat"), 'names "flat" twice; give each name once'),
    "variant without a name": (("--variants", "flat,,tilted"), "has a comma without a name"),
    "nothing but a comma": (("--variants", ","), "has a comma without a name"),
}
SCALE = {
    "colours": (("--colours", "jet"), '--colours "jet" is not a colour map; give inferno or cividis'),
}
CASE = {
    "state unknown": (("--state", "x"), '--state "x" is not a duty state of this scene; known: working'),
    "light unknown": (("--light", "dusk"), '--light "dusk" is not a light level of this scene; known: day, night'),
    "approach unknown": (("--approach", "drive"), '--approach "drive" is not an approach of this scene; did you mean'),
}
OF_VIEW = {
    "light twice": (("--light", "night,night"), 'names "night" twice'),
    "one light of two unknown": (("--light", "night,dusk"), '--light "dusk" is not a light level'),
    "eye unknown": (("--eye", "car"), '--eye "car" is not an eye of this scene'),
    "eye and approach": (("--eye", "car-next", "--approach", "drive-next"), "asked for together"),
    "distance behind": (("--distance", "-5 m"), '--distance "-5 m" is not on this way; give 20 to'),
    "distance of nothing": (("--distance", "0"), "is not on this way"),
    "distance too large": (("--distance", "1e9 m"), "is not on this way"),
    "distance in words": (("--distance", "far"), '--distance "far" is not a length'),
    "distance nan": (("--distance", "nan"), "--distance nan is not a finite number"),
    "distance inf": (("--distance", "inf"), "is not a finite number"),
    "distance in kilograms": (("--distance", "100 kg"), 'has "kg" where a unit is expected'),
    "child": (("--age", "5"), '--age "5" is not an age that the model covers; give 15 to below 75'),
    "too old": (("--age", "200"), "give 15 to below 75"),
    "age nan": (("--age", "nan"), "give 15 to below 75"),
    "age in words": (("--age", "old"), '--age "old" is not an age; give a number of years'),
    "nine pictures": (("--variants", "flat,tilted,cut", "--light", "night,day,undimmed"), "asks for 9 pictures"),
}
OF_COMPARE = {"one variant": (("--variants", "flat"), "is not two variants")}
WRONG = {
    "view": OUTPUT | SCALE | CASE | OF_VIEW,
    "approach": OUTPUT | CASE,
    "compare": OUTPUT | SCALE | OF_COMPARE,
    "study": {name: case for name, case in (OUTPUT | SCALE).items() if "--variants" not in case[0]},
}


@pytest.mark.parametrize(("command", "name"), [(command, name) for command, names in WRONG.items() for name in names])
def test_refused_before_anything_is_computed(
    command: str, name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("there").write_text("a file")
    options, words = WRONG[command][name]
    if command == "compare" and "--variants" not in options:
        options = (*options, "--variants", "flat,tilted")
    out = () if "--out" in options else ("--out", "out")
    with patch(WORK[0], side_effect=AssertionError), patch(WORK[1], side_effect=AssertionError):
        ran = run(command, "causeway-truck", *options, *out)
    assert ran.status == 2, ran.err
    assert ran.out == "" and words in ran.err, ran.err
    assert ran.err.startswith("scenelux: ") and ran.err.endswith(".\n") and ran.err.count("\n") == 1, ran.err
    assert [path.name for path in tmp_path.iterdir()] == ["there"] and Path("there").read_text() == "a file"


@pytest.mark.parametrize("command", ["study", "compare", "view", "approach", "signal", "dusk", "probe"])
@pytest.mark.parametrize("words", [["--light", ""], ["--state", "  "], ["--out="], ["--variants="]])
def test_an_empty_value_is_not_taken_as_left_out(command: str, words: list[str]) -> None:
    ran = run(command, "causeway-truck", *words)
    assert (ran.status, ran.out) == (2, "") and ran.err.count("\n") == 1
    assert f"{words[0].rstrip('=')} is empty" in ran.err


def test_an_empty_name_is_told() -> None:
    ran = run("study", "")
    assert ran.status == 2 and "an argument is empty" in ran.err
