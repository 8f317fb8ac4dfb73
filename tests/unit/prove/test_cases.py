"""Files of cases: what they may hold, and one sentence with its place for everything else."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from scenelux.errors import InputError
from scenelux.prove import compare, prove, read_cases
from scenelux.prove.cases import MOST_CASES

GRID = 'quantity = "grid_spacing"\ninputs = { longer_side_m = 10 }\n'


def written(folder: Path, text: str, name: str = "mine.toml") -> Path:
    file = folder / name
    file.write_text(text, encoding="utf-8")
    return file


def sentence(folder: Path, text: str, name: str = "mine.toml") -> str:
    file = written(folder, text, name)
    with pytest.raises(InputError) as caught:
        prove(read_cases(file))
    message = str(caught.value)
    assert "\n" not in message and message.endswith(".")
    return message.replace(str(folder), "")


def test_toml_and_json_say_the_same(tmp_path: Path) -> None:
    toml = f'[[cases]]\n{GRID}expected = 1.0\ntolerance_percent = 1\nsource = "a page"\n'
    plain = '[{"quantity": "grid_spacing", "inputs": {"longer_side_m": 10}, "expected": 1.0, "tolerance_percent": 1,'
    plain += ' "source": "a page"}]'
    for name, text in (("a.toml", toml), ("b.json", plain), ("c.json", f'{{"cases": {plain}}}')):
        (case,) = read_cases(written(tmp_path, text, name))
        assert (case.quantity, case.inputs, case.tolerance_percent) == ("grid_spacing", {"longer_side_m": 10}, 1.0)
        assert (case.source, case.status, compare(case).verdict) == ("a page", "own", "agrees")


def test_a_set_shares_source_quantity_and_inputs(tmp_path: Path) -> None:
    text = """
    [[sets]]
    title = "A book"
    edition = "2nd"
    clause = "p. 3"
    status = "quoted"
    quantity = "de_boer"
    inputs = { eye_illuminance_lx = 1, adaptation_luminance_cd_m2 = 0.1 }
    cases = [
      { inputs = { angle_deg = 3.5 }, expected = 2.914 },
      { inputs = { angle_deg = 3.5, adaptation_luminance_cd_m2 = 1 }, expected = 3.647, status = "published" },
    ]
    """
    first, second = prove(read_cases(written(tmp_path, text)))
    assert first.verdict == second.verdict == "agrees"
    assert (first.case.source, first.case.status, second.case.status) == ("A book, 2nd, p. 3", "quoted", "published")


def test_nan_can_be_expected_in_both_forms(tmp_path: Path) -> None:
    toml = '[[cases]]\nquantity = "grid_spacing"\ninputs = { longer_side_m = -1 }\nexpected = nan\n'
    plain = '[{"quantity": "grid_spacing", "inputs": {"longer_side_m": [-1, 10]}, "expected": [null, 1.0]}]'
    (one,) = prove(read_cases(written(tmp_path, toml)))
    (other,) = prove(read_cases(written(tmp_path, plain, "b.json")))
    assert one.verdict == other.verdict == "agrees"
    assert math.isnan(one.pairs[0].ours)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("expected", "verdict"),
    [("1.000", "agrees"), ("1.001", "disagrees"), ("1.0e0", "agrees"), ("1", "agrees"), ("nan", "disagrees"),
     ("1.2\ntolerance_percent = 20", "agrees"), ("1.2\ntolerance_percent = 16", "disagrees"),
     ("1.2\ntolerance = 0.2", "agrees"), ("1.2\ntolerance = 0.19", "disagrees"), ("[1.0]", None),
     ('"ten"', None), ("true", None), ('"NaN"', "disagrees"), ("0xFF", "disagrees"),
     ("1_000.0\ntolerance_percent = 99.9", "agrees")],
)  # fmt: skip
def test_without_a_tolerance_the_printed_digits_count(tmp_path: Path, expected: str, verdict: str | None) -> None:
    file = written(tmp_path, f"[[cases]]\n{GRID}expected = {expected}\n")
    if verdict is None:
        assert "cases[0].expected is not what comes out; give " in sentence(tmp_path, file.read_text())
        return
    (found,) = prove(read_cases(file))
    assert found.verdict == verdict


def test_a_zero_is_expected_within_a_percentage_of_the_largest(tmp_path: Path) -> None:
    inputs = '{ type = "A", horizontal_deg = 0.1, vertical_deg = 0 }'
    text = f'[[cases]]\nquantity = "photometric_direction"\ninputs = {inputs}\n'
    for percent, verdict in ((0.2, "agrees"), (0.1, "disagrees")):
        file = written(tmp_path, f"{text}expected = [1, 0, 0]\ntolerance_percent = {percent}\n")
        assert compare(read_cases(file)[0]).verdict == verdict


def test_numbers_and_lists_are_held_against_the_first_result(tmp_path: Path) -> None:
    text = '[[cases]]\nquantity = "beam_exponent_and_peak"\ninputs = { beam_angle_deg = [60, 120] }\n'
    for expected in ("[4.8188, 1.0]", "{ exponent = [4.8188, 1.0] }", "{ peak_cd = [926.10, 318.31] }"):
        assert compare(read_cases(written(tmp_path, f"{text}expected = {expected}\n"))[0]).verdict == "agrees"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "/mine.toml:1:1: has no cases"),
        ("cases = 3", "/mine.toml:1:9: cases 3 is not a list"),
        ('format = "scenelux scene 1"', '/mine.toml:1:10: format "scenelux scene 1" is another format; give'),
        ("[[cases]]\nexpected = 1", "/mine.toml:1:1: cases[0] has no quantity; give the name of a quantity"),
        (f"[[cases]]\n{GRID}", "/mine.toml:1:1: cases[0] has no expected"),
        (f"[[cases]]\n{GRID}expected = {{}}", "/mine.toml:4:12: cases[0].expected cannot be expected; give a number"),
        (f"[[cases]]\n{GRID}expected = 2020-01-01", "/mine.toml:4:12: cases[0].expected cannot be expected"),
        (f"[[cases]]\n{GRID}expected = 1\nunit = 3", "/mine.toml:5:8: cases[0].unit is not a key that is known here"),
        (f"[[cases]]\n{GRID}expected = 1\ntolerance_percent = -1", "cases[0].tolerance_percent -1 is not a tolerance"),
        (f"[[cases]]\n{GRID}expected = 1\ntolerance = nan", "cases[0].tolerance nan is not a tolerance"),
        (f'[[cases]]\n{GRID}expected = 1\nstatus = "true"', 'cases[0].status "true" is not a status; give one of'),
        ('[[cases]]\nquantity = "grid"\ninputs = {}\nexpected = 1', '/mine.toml:2:12: cases[0].quantity "grid" is'),
        ("[[cases]]\nquantity = 3\nexpected = 1", "cases[0].quantity 3 is not a text"),
        ('[[cases]]\nquantity = "grid_spacing"\nexpected = 1', "cases[0].inputs.longer_side_m is missing; give a"),
        (
            '[[cases]]\nquantity = "grid_spacing"\ninputs = { side_m = 1 }\nexpected = 1',
            "/mine.toml:3:21: cases[0].inputs.side_m is not an input of grid_spacing; did you mean \"longer_side_m\"; "
            "known: longer_side_m.",
        ),
        ("[[cases]]\nquantity", "/mine.toml:2:9: a key has no value"),
    ],
)  # fmt: skip
def test_faults_of_toml(tmp_path: Path, text: str, says: str) -> None:
    assert says in sentence(tmp_path, text)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("3", "/mine.json:1:1: cases 3 is not a list"),
        ('[{"quantity"', "/mine.json:1:13: this is not JSON (expecting ':' delimiter)"),
        ('[{"expected": NaN}]', '/mine.json: "NaN" is not JSON; write null for nan.'),
        ('{"cases": [{"say": "a", "say": "b"}]}', "/mine.json: say is given twice in one table; give it once."),
        (
            '[\n {"quantity": "grid_spacing",\n  "inputs": {"side": 1}, "expected": 1}]',
            "/mine.json:3:22: [0].inputs.side",
        ),
        ("[" * 100_000, "/mine.json: the document is nested too deeply"),
        (f"[{'9' * 5000}]", "/mine.json: a number is too long to read"),
    ],
)
def test_faults_of_json(tmp_path: Path, text: str, says: str) -> None:
    assert says in sentence(tmp_path, text, "mine.json")


def test_size_is_limited_before_anything_runs(tmp_path: Path) -> None:
    many = ",".join(["{}"] * (MOST_CASES + 1))
    row = '"quantity":"a","expected":1'
    assert "has more than 10,000 cases" in sentence(tmp_path, f"[{many.replace('{}', f'{{{row}}}')}]", "mine.json")
    assert "the file is larger than 1,000,000 bytes" in sentence(tmp_path, "#" * 1_000_001)


def test_text_of_a_file_is_shown_and_never_run(tmp_path: Path) -> None:
    text = f'[[cases]]\n{GRID}expected = 2\nsource = "[red]{{0.__class__}} <b>|*_x_*`id`"\nsay = "\\u001b[31m"\n'
    from scenelux.reports.prove import markdown

    shown = markdown(prove(read_cases(written(tmp_path, text))))
    assert r"\[red\]{0.__class__} \<b\>\|\*\_x\_\*\`id\`" in shown.replace(r"\_\_class\_\_", "__class__")
    assert "\x1b" not in shown
