"""Criteria documents: those that travel with the product, and forty ways to write one wrong."""

from __future__ import annotations

from pathlib import Path

import pytest

from scenelux.checks import read_pack, read_packs, shipped_rules
from scenelux.errors import DocumentError, InputError
from scenelux.shipped import shipped

PACK = """\
format = "scenelux criteria 1"
title = "A document"
edition = "2026"
publisher = "demonstration"
read = "made for this test"

[[rules]]
id = "one"
clause = "1"
quantity = "illuminance"
statistic = "minimum"
sense = "at least"
limit = 5
unit = "fc"
plane = "horizontal"
height_m = 0
zone = { shape = "rectangle", along_m = 3, left_m = 2, where = "behind the vehicle" }
lighting = "maintained"
states = "night"
status = "invented"
says = "There are 5 fc."
"""


def test_rows_of_the_reference_are_there_as_printed() -> None:
    rules = shipped_rules()
    expected = {
        "mdot_work": ("minimum", 10, "fc", "horizontal", 0.9144, "published"),
        "mdot_pass": ("minimum", 5, "fc", "horizontal", 0.9144, "published"),
        "iowa": ("minimum", 5, "fc", "not stated", None, "published"),
        "iowa_plan": ("average", 5, "fc", "not stated", None, "published"),
        "maine": ("minimum", 20, "fc", "not stated", None, "quoted"),
        "osha_general": ("minimum", 5, "fc", "not stated", None, "published"),
        "osha_access": ("minimum", 3, "fc", "not stated", None, "published"),
        "osha_hazwoper_general": ("minimum", 5, "fc", "not stated", None, "quoted"),
        "asr_site_general": ("minimum", 20, "lx", "task plane", None, "published"),
        "asr_site_coarse": ("minimum", 50, "lx", "task plane", None, "published"),
        "asr_site_normal": ("minimum", 100, "lx", "task plane", None, "published"),
        "asr_site_fine": ("minimum", 200, "lx", "task plane", None, "published"),
        "nfpa_rear_average": ("average", 30, "lx", "ground", 0, "quoted"),
        "nfpa_rear_minimum": ("minimum", 30, "lx", "ground", 0, "quoted"),
        "nfpa_step": ("minimum", 20, "lx", "ground", 0, "quoted"),
        "kkk_flood_side": ("beam", 800, "cd", "none", None, "published"),
        "kkk_flood_rear": ("beam", 500, "cd", "none", None, "published"),
        "road_freeway_veil_ratio": ("maximum", 0.3, "1", "line of sight", None, "published"),
        "road_local_veil_ratio": ("maximum", 0.4, "1", "line of sight", None, "published"),
        "nchrp498_equipment_average": ("average", 108, "lx", "horizontal", None, "unconfirmed"),
        "en12464_construction_average": ("average", 50, "lx", "task plane", None, "unconfirmed"),
        "en13201_m3_threshold_increment": ("maximum", 15, "%", "line of sight", 1.5, "unconfirmed"),
    }
    for name, row in expected.items():
        rule = rules[name]
        found = (rule.statistic, rule.limit, rule.unit, rule.plane, rule.height_m, rule.source.status)
        assert found == row, name


def test_every_shipped_rule_has_its_address_and_says_itself_in_one_sentence() -> None:
    for rule in shipped_rules().values():
        assert rule.source.title and rule.source.edition and rule.source.clause and rule.read, rule.id
        assert rule.source.status in ("published", "quoted", "unconfirmed"), rule.id
        assert rule.says.endswith(".") and "\n" not in rule.says, rule.id
        assert rule.says.count(". ") == 0, rule.id


def test_whatever_comes_from_memory_is_unconfirmed() -> None:
    for rule in shipped_rules().values():
        if (
            "memory" in (rule.read + rule.note + rule.source.edition).lower()
            and "levels are from memory" not in rule.read
        ):
            assert rule.source.status == "unconfirmed", rule.id


def test_a_reading_that_the_text_leaves_open_is_shipped_twice() -> None:
    rules = shipped_rules()
    open_texts = [rule for rule in rules.values() if "takes the level as a minimum" in rule.note]
    assert len(open_texts) >= 20
    for rule in open_texts:
        other = rules[f"{rule.id}_average"]
        assert (other.statistic, other.limit, other.unit) == ("average", rule.limit, rule.unit)


def test_one_file_a_document() -> None:
    titles = [read_pack(file)[0].source.title for file in (shipped("shared") / "criteria").glob("*.toml")]
    assert len(titles) == len(set(titles)) >= 12


def test_a_document_of_the_users_is_read_in_the_same_way(tmp_path: Path) -> None:
    file = tmp_path / "own.toml"
    file.write_text(PACK)
    (rule,) = read_pack(file)
    assert (rule.id, rule.limit, rule.zone.along_m, rule.zone.left_m, rule.height_m) == ("one", 5.0, 3.0, 2.0, 0.0)
    assert str(rule.source) == "A document, 2026, 1"


BROKEN = [
    ('format = "scenelux criteria 1"', 'format = "criteria"', "format"),
    ('format = "scenelux criteria 1"', "", "format"),
    ('title = "A document"', "", "title"),
    ('title = "A document"', "title = 3", "title"),
    ('title = "A document"', 'titel = "A document"', "titel"),
    ('edition = "2026"', 'edition = ""', "edition"),
    ('id = "one"', "", "rules[0].id"),
    ('id = "one"', "id = 1", "rules[0].id"),
    ('clause = "1"', "clause = 1", "rules[0].clause"),
    ('clause = "1"', "", "rules[0].clause"),
    ('quantity = "illuminance"', 'quantity = "luminance"', "rules[0].quantity"),
    ('quantity = "illuminance"', 'quantity = "veiling luminance"', "rules[0].statistic"),
    ('statistic = "minimum"', 'statistic = "mean"', "rules[0].statistic"),
    ('sense = "at least"', 'sense = ">="', "rules[0].sense"),
    ("limit = 5", 'limit = "5 fc"', "rules[0].limit"),
    ("limit = 5", "limit = nan", "rules[0].limit"),
    ("limit = 5", "limit = -5", "rules[0].limit"),
    ("limit = 5", "limit = true", "rules[0].limit"),
    ("limit = 5", "limit = inf", "rules[0].limit"),
    ("limit = 5", "", "rules[0].limit"),
    ('unit = "fc"', 'unit = "lux"', "rules[0].unit"),
    ('plane = "horizontal"', 'plane = "floor"', "rules[0].plane"),
    ('plane = "horizontal"', "plane = 1", "rules[0].plane"),
    ("height_m = 0", 'height_m = "3 ft"', "rules[0].height_m"),
    ("height_m = 0", "", "rules[0].height_m"),
    ('shape = "rectangle"', 'shape = "circle"', "rules[0].zone.shape"),
    ("along_m = 3, ", "", "rules[0].zone"),
    ("along_m = 3, ", "along_m = -3, ", "rules[0].zone.along_m"),
    ("along_m = 3, ", "along_m = 3, within_m = 1, ", "rules[0].zone"),
    ("along_m = 3, ", "along_m = 3, up_m = 1, ", "rules[0].zone.up_m"),
    (', where = "behind the vehicle" }', " }", "rules[0].zone.where"),
    ("zone = {", "zone = 3 #", "rules[0].zone"),
    ('lighting = "maintained"', 'lighting = "design"', "rules[0].lighting"),
    ('status = "invented"', 'status = "certain"', "rules[0].status"),
    ('status = "invented"', "", "rules[0].status"),
    ('says = "There are 5 fc."', "", "rules[0].says"),
    ('says = "There are 5 fc."', 'says = "There are 5 fc."\nnote = 3', "rules[0].note"),
    ('says = "There are 5 fc."', 'says = "There are 5 fc."\nbeside = 54', "rules[0].beside"),
    (
        'says = "There are 5 fc."',
        'says = "There are 5 fc."\nbeside = { limit = 54, unit = "m" }',
        "rules[0].beside.unit",
    ),
    ('says = "There are 5 fc."', 'says = "There are 5 fc."\nheight = 3', "rules[0].height"),
]


@pytest.mark.parametrize(("good", "bad", "key"), BROKEN)
def test_a_broken_document_is_one_sentence_with_file_line_and_key(
    tmp_path: Path, good: str, bad: str, key: str
) -> None:
    assert PACK.count(good) == 1
    file = tmp_path / "broken.toml"
    file.write_text(PACK.replace(good, bad))
    with pytest.raises(DocumentError) as caught:
        read_pack(file)
    sentence = str(caught.value)
    assert "\n" not in sentence and sentence.endswith(".")
    assert sentence.startswith("broken.toml:"), sentence
    assert f" {key} " in f" {sentence} ", sentence
    line = PACK.replace(good, bad).splitlines()[(caught.value.line or 0) - 1]
    leaf = key.split(".")[1] if "." in key else key
    present = any(text.startswith(f"{leaf} =") for text in PACK.replace(good, bad).splitlines())
    assert line.startswith(f"{leaf} =") if present else line.startswith(("format", "[[rules]]", "title")) or not line


def test_the_line_is_that_of_the_right_rule(tmp_path: Path) -> None:
    second = PACK[PACK.index("[[rules]]") :].replace('"one"', '"two"').replace('"fc"', '"lux"')
    file = tmp_path / "two.toml"
    file.write_text(f"{PACK}\n{second}")
    with pytest.raises(DocumentError, match=r'^two\.toml:\d+: rules\[1\]\.unit "lux" .*did you mean "lx"') as caught:
        read_pack(file)
    assert f"{PACK}\n{second}".splitlines()[(caught.value.line or 0) - 1] == 'unit = "lux"'


def test_what_is_no_toml_and_no_text(tmp_path: Path) -> None:
    file = tmp_path / "bad.toml"
    file.write_text("format = \n")
    with pytest.raises(InputError, match=r"^bad\.toml: is not TOML: invalid value \(at line 1"):
        read_pack(file)
    file.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(InputError, match="cannot be read as UTF-8 text"):
        read_pack(file)
    with pytest.raises(InputError, match="cannot be read"):
        read_pack(tmp_path / "none.toml")


def test_no_rules_and_rules_that_are_none(tmp_path: Path) -> None:
    head = PACK[: PACK.index("[[rules]]")]
    for text, problem in (
        (head, "rules is missing"),
        (head + "rules = []\n", "rules is missing"),
        (head + "rules = [1]\n", "is not a table"),
    ):
        file = tmp_path / "empty.toml"
        file.write_text(text)
        with pytest.raises(DocumentError, match=problem):
            read_pack(file)


def test_a_name_used_by_two_documents(tmp_path: Path) -> None:
    files = [tmp_path / "a.toml", tmp_path / "b.toml"]
    for file in files:
        file.write_text(PACK)
    with pytest.raises(DocumentError, match=r'^b\.toml: id "one" is the name of two rules'):
        read_packs(files)
