"""The scan for places finds every key and value that tomllib reads, where it stands."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Literal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from scenelux.scene.positions import KeyPath, TooDeep, find_places, path_text
from scenelux.shipped import shipped

EVERYTHING = '''\
a = 1 # a comment with [brackets] and "quotes"
"quoted key" . b = "x"   # dotted

[t]  # comment
arr = [ # comment ]
  1, 2,
  { p = "x, }", q.r = [1,
 2] } , # trailing comma
]
when = 1979-05-27 07:32:00
lines = """a " ] ""b
# no comment
c"""
'lit.eral' = \'\'\'x'y\'\'\'
escaped = "a \\" b # no comment"
[[v]]
[[v.l]]
x = 'single # not a comment'
[[v.l]]
x = -0.5e3
[[v]]
y = true
[v.z."odd.name"]
k = """""two quotes"""
empty = { }
none = []
'''


def leaves(value: object, path: KeyPath = ()) -> Iterator[tuple[KeyPath, object]]:
    yield path, value
    if isinstance(value, Mapping):
        for key, part in value.items():
            yield from leaves(part, (*path, key))
    elif isinstance(value, list):
        for index, part in enumerate(value):
            yield from leaves(part, (*path, index))


def assert_all_found(text: str) -> None:
    places = find_places(text)
    lines = text.split("\n")
    for path, value in leaves(tomllib.loads(text)):
        place = places[path]
        assert 1 <= place.line <= len(lines) and 1 <= place.column <= len(lines[place.line - 1]) + 1
        if place.end > place.start:
            written = text[place.start : place.end]
            assert repr(tomllib.loads(f"v = {written}")["v"]) == repr(value), path  # nan is no other nan
            assert lines[place.line - 1][place.column - 1] == written[0]
        else:
            assert isinstance(value, dict | list), path


def test_everything_is_found() -> None:
    assert_all_found(EVERYTHING)


@pytest.mark.parametrize(
    ("path", "line", "column"),
    [
        (("a",), 1, 5),
        (("quoted key", "b"), 2, 20),
        (("t",), 4, 1),
        (("t", "arr", 2, "p"), 7, 9),
        (("t", "arr", 2, "q", "r", 1), 8, 2),
        (("t", "lines"), 11, 9),
        (("t", "lit.eral"), 14, 14),
        (("v", 0, "l", 1, "x"), 20, 5),
        (("v", 1), 21, 1),
        (("v", 1, "z", "odd.name", "k"), 24, 5),
    ],
)
def test_places(path: KeyPath, line: int, column: int) -> None:
    place = find_places(EVERYTHING)[path]
    assert (place.line, place.column) == (line, column)


FOLDERS: tuple[Literal["scenes", "luminaires", "shared"], ...] = ("scenes", "luminaires", "shared")


def test_keys_have_places_of_their_own() -> None:
    place = find_places("[t]\nlonger = { x = 1 }")["t", "longer", "x"]
    assert (place.key_line, place.key_column, place.line, place.column) == (2, 12, 2, 16)


@pytest.mark.parametrize(
    "file", sorted(path for name in FOLDERS for path in shipped(name).rglob("*.toml")), ids=lambda path: path.name
)
def test_every_shipped_document(file: Path) -> None:
    assert_all_found(file.read_text(encoding="utf-8"))


KEYS = st.text(alphabet="ab1-_ .\"'é#[]=", min_size=1, max_size=6)
SCALARS = st.one_of(
    st.integers(-1000, 1000), st.booleans(), st.floats(allow_nan=False, allow_infinity=False),
    st.text(max_size=12).filter(lambda text: not any(0xD800 <= ord(c) < 0xE000 for c in text)),
)  # fmt: skip
VALUES = st.recursive(
    SCALARS, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=3), max_leaves=8
)


def quoted(text: str) -> str:
    return '"' + "".join(f"\\U{ord(c):08x}" if c in '"\\' or ord(c) < 32 or ord(c) == 127 else c for c in text) + '"'


def written(value: object, newline: str) -> str:
    if isinstance(value, dict):
        return "{ " + " , ".join(f"{quoted(key)} = {written(part, '')}" for key, part in value.items()) + " }"
    if isinstance(value, list):
        return f"[{newline}" + "".join(f" {written(part, newline)} ,{newline}" for part in value) + "]"
    if isinstance(value, bool):
        return str(value).lower()
    return quoted(value) if isinstance(value, str) else repr(value)


@settings(max_examples=200, suppress_health_check=[HealthCheck.too_slow])
@given(
    tables=st.lists(st.tuples(KEYS, st.booleans(), st.dictionaries(KEYS, VALUES, max_size=3)), max_size=4),
    newline=st.sampled_from(["", "\n", ' # ]} "\n']),
)
def test_any_document(tables: list[tuple[str, bool, dict[str, object]]], newline: str) -> None:
    text, kinds = "", dict[str, bool]()
    for name, several, table in tables:
        if name in kinds and not (several and kinds[name]):
            continue
        kinds[name] = several
        text += f"[[{quoted(name)}]]\n" if several else f"[{quoted(name)}]\n"
        text += "".join(f"{quoted(key)}={written(part, newline)} # x\n" for key, part in table.items())
    assert_all_found(text)


def test_too_deep_is_refused_and_not_recursed() -> None:
    with pytest.raises(TooDeep):
        find_places("x = " + "[" * 60 + "]" * 60)


def test_paths_in_words() -> None:
    assert path_text(("a", 0, "b c", "d")) == 'a[0]."b c".d'
    assert path_text(()) == ""
