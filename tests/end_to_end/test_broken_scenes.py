"""Every broken scene gives one sentence that names the place, the key, the value and what would be accepted."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from broken_scenes import BASE, BROKEN, Broken

from scenelux.errors import DocumentError, InputError, LimitError
from scenelux.scene.positions import find_places
from scenelux.scene.read import read_scene


@pytest.fixture
def scene_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path / "scene.toml"


def refusal(file: Path, content: str | bytes) -> InputError:
    file.write_bytes(content.encode() if isinstance(content, str) else content)
    with pytest.raises(InputError) as caught:
        read_scene(file)
    assert isinstance(caught.value, DocumentError | LimitError)
    return caught.value


def assert_one_sentence(text: str) -> None:
    assert text.endswith(".")
    assert "\n" not in text
    assert len(text) < 600
    assert not re.search(r"Traceback|pydantic|validation error|Input should|NoneType|<class", text)
    # Nothing after the closing full stop begins a second sentence.
    assert not re.search(r"[a-z\")]\. [A-Z]", text), text


def test_base_is_good(scene_file: Path) -> None:
    scene_file.write_text(BASE)
    scene = read_scene(scene_file)
    assert [lamp.id for lamp in scene.vehicles[1].lamps] == ["second/tail-left", "second/tail-right"]


def test_there_are_many_and_each_is_named() -> None:
    assert len(BROKEN) >= 60
    assert len({broken.name for broken in BROKEN}) == len(BROKEN)
    assert all(broken.pieces for broken in BROKEN)


@pytest.mark.parametrize("broken", BROKEN, ids=lambda broken: broken.name.replace(" ", "-"))
def test_broken_scene(broken: Broken, scene_file: Path) -> None:
    error = refusal(scene_file, broken.text)
    text = str(error)
    assert_one_sentence(text)
    assert (error.line, error.column) == broken.place, text
    assert text.startswith(f"scene.toml:{error.line}:{error.column}: ")
    for piece in broken.pieces:
        assert piece in text
    assert error.accepted, f"says nothing that would be accepted: {text}"


def test_nothing_is_left_behind(scene_file: Path) -> None:
    for broken in BROKEN[:5]:
        refusal(scene_file, broken.text)
    assert list(scene_file.parent.iterdir()) == [scene_file]


def test_the_first_fault_of_the_document_is_told_and_the_others_counted(scene_file: Path) -> None:
    text = BASE.replace('"-35 deg"', '"steep"').replace('"wet asphalt"', "7").replace('"1.08 m"', '"eye"')
    error = refusal(scene_file, text)
    assert error.key == "site.surface"
    assert "2 more problems follow" in str(error)


@pytest.mark.parametrize(
    ("content", "piece"),
    [
        (b"\xff\xfe" + BASE.encode("utf-16-le"), "not UTF-8"),
        (b"", "states no format"),
        (b"\x00", "no key, table or comment"),
        (BASE.encode() + b"#" * 1_000_000, "larger than 1,000,000 bytes"),
        (BASE.encode() + b"\nx = " + b"[" * 60 + b"]" * 60, "nested too deeply"),
        (BASE.encode() + b"\nx = " + b"[" * 40_000, "nested too deeply"),
        (b"a = " + b"9" * 6000, "too long to read"),
        (b'format = "scenelux luminaire 1"\nname = "x"', "not the format of a scene"),
        (BASE.replace("[[vehicles.lamps]]", "[[vehicles.lamps]]\nid = 1\n", 1).encode(), "given twice"),
    ],
    ids=["utf-16", "empty", "nul byte", "too large", "deep", "very deep", "long number", "a card", "key twice"],
)
def test_files_that_are_no_scenes(content: bytes, piece: str, scene_file: Path) -> None:
    error = refusal(scene_file, content)
    assert_one_sentence(str(error))
    assert piece in str(error)


@pytest.mark.parametrize(
    ("name", "piece"),
    [
        ("no-such-scene", "neither a file nor a shipped scene"),
        ("causeway-truk", 'did you mean "causeway-truck"'),
        ("folder/none.toml", "neither a file nor"),
        (".", "is a folder"),
        ("", "is not the name of a file"),
        ("a\0b", "is not the name of a file"),
    ],
)
def test_names_of_no_scene(name: str, piece: str, scene_file: Path) -> None:
    with pytest.raises(DocumentError) as caught:
        read_scene(name)
    assert_one_sentence(str(caught.value))
    assert piece in str(caught.value)


def test_a_scene_named_without_its_ending(scene_file: Path) -> None:
    scene_file.write_text(BASE)
    with pytest.raises(DocumentError) as caught:
        read_scene("scene")
    assert_one_sentence(str(caught.value))
    assert 'did you mean "scene.toml"' in str(caught.value)


def test_too_many_copied_lamps(scene_file: Path) -> None:
    copies = "".join(f'[[vehicles]]\nid = "v{i}"\nposition = [0, {100 + 10 * i}]\nlike = "truck"\n' for i in range(501))
    error = refusal(scene_file, BASE.replace("[states.working]", copies + "[states.working]"))
    assert isinstance(error, LimitError)
    assert "more than 1000 lamps" in str(error)


def test_the_sentences_can_be_read_on_one_page(scene_file: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    page = tmp_path_factory.mktemp("sentences") / "sentences.txt"
    lines = [f"{broken.name}\n    {refusal(scene_file, broken.text)}\n" for broken in BROKEN]
    page.write_text("\n".join(lines), encoding="utf-8")
    assert page.read_text(encoding="utf-8").count("scene.toml:") >= len(BROKEN)


ODD = ("-1", "1e308", '""', '"1 m"', '"5 deg"', "[]", "{}", "[[1]]", "1979-05-27", '"\\u0000"')


@pytest.mark.parametrize("odd", ODD)
def test_any_value_may_be_odd(odd: str, scene_file: Path) -> None:
    """Every value of the good text in turn is replaced: the scene is read or refused in one sentence."""
    for place in find_places(BASE).values():
        if place.end > place.start:
            scene_file.write_text(BASE[: place.start] + odd + BASE[place.end :])
            try:
                read_scene(scene_file)
            except InputError as error:
                assert error.line is not None, error
                assert_one_sentence(str(error))
