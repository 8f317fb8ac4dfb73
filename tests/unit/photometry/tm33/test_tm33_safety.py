"""Hostile and broken XML: refused in one sentence, fast, and before memory is taken."""

from __future__ import annotations

import random
import subprocess
import sys
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scenelux.errors import InputError, LimitError, PhotometricError
from scenelux.photometry.faults import FaultLog
from scenelux.photometry.tm33 import parse, tree
from scenelux.photometry.tm33.names import ROOTS
from scenelux.photometry.tm33.read import read_tm33
from tests.unit.photometry.tm33.documents import document, point_lines

LOL = '<!ENTITY a "lol">' + "".join(f'<!ENTITY {b} "{f"&{a};" * 10}">' for a, b in zip("abcdefghi", "bcdefghij"))  # noqa: B905
BOMBS = {
    "billion laughs": f"<!DOCTYPE IESTM33-22 [{LOL}]>",
    "quadratic": f'<!DOCTYPE IESTM33-22 [<!ENTITY a "{"a" * 50_000}">]>',
    "external entity": '<!DOCTYPE IESTM33-22 [<!ENTITY a SYSTEM "file:///etc/passwd">]>',
    "parameter entity": '<!DOCTYPE IESTM33-22 [<!ENTITY % p SYSTEM "http://127.0.0.1:9/x.dtd"> %p;]>',
    "external subset": '<!DOCTYPE IESTM33-22 SYSTEM "http://127.0.0.1:9/x.dtd">',
    "doctype only": "<!DOCTYPE IESTM33-22>",
    "default attributes": '<!DOCTYPE IESTM33-22 [<!ATTLIST IntData h CDATA "0">]>',
}


def refused(text: str | bytes) -> InputError:
    with pytest.raises(InputError) as caught:
        read_tm33(text if isinstance(text, bytes) else text.encode(), "lamp.xml")
    assert str(caught.value).startswith("lamp.xml") and "\n" not in str(caught.value)
    return caught.value


@pytest.mark.parametrize("name", BOMBS)
@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
def test_document_types_and_entities(name: str, encoding: str) -> None:
    body = document(header="<Header><Comments>&j;</Comments></Header>", declaration=BOMBS[name])
    error = refused(body.encode(encoding))
    assert isinstance(error, PhotometricError) and error.code == 131 and error.line == 1
    assert "DOCTYPE" in str(error)


def test_the_word_doctype_in_a_comment_or_text_is_no_declaration() -> None:
    body = document(header="<Header><Comments><![CDATA[<!DOCTYPE a [<!ENTITY b 'c'>]>]]></Comments></Header>")
    file = read_tm33(body.replace("<Emitter>", "<!-- <!DOCTYPE x> --><Emitter>").encode())
    assert file.text("OTHER") == "<!DOCTYPE a [<!ENTITY b 'c'>]>" and file.warnings == ()


def test_an_entity_that_nobody_declared() -> None:
    error = refused(document(header="<Header><Comments>&lol;</Comments></Header>"))
    assert isinstance(error, PhotometricError) and error.code == 130 and "undefined entity" in str(error)


def test_nesting_ends_at_32() -> None:
    for levels, fine in ((31, True), (32, False)):
        body = document(header="<x>" * levels + "</x>" * levels)
        if fine:
            assert read_tm33(body.encode()).absolute
        else:
            assert isinstance(refused(body), LimitError)
    assert "32 levels deep" in str(refused("<IESTM33>" + "<x>" * 200_000))


@pytest.mark.parametrize(
    ("body", "says"),
    [
        ("<IESTM33>" + "<a/>" * 100_000, "100000"),
        ("<IESTM33 a='" + "x" * 2_000_000 + "'/>", "1048576 bytes"),
        ("<IESTM33 " + " ".join(f"a{i}=''" for i in range(90_000)) + "/>", "Emitter"),
        ("<IESTM33><b " + " ".join(f"a{i}=''" for i in range(250_000)) + "/>", "1048576 bytes"),
        ("<IESTM33><!--" + "x" * 2_000_000 + "--></IESTM33>", "1048576 bytes"),
        ("<IESTM33><?x " + "x" * 2_000_000 + "?></IESTM33>", "1048576 bytes"),
        ("<IESTM33>" + "x" * 2_000_000, "1000000 letters"),
        ("<IESTM33>" + "&#10;" * 1_200_000, "1000000 letters"),
        ("<IESTM33>" + "\U0001f600x" * 700_000, "1000000 letters"),
        ("<IESTM33>" + ("<a>" + "x" * 900_000 + "</a>") * 5, "4000000 letters"),
        ("<IESTM33>" + "".join(f"<IntData h='0' v='0' a{i}=''>1</IntData>" for i in range(90_000)), "attributes"),
        ("<IESTM33>" + "".join(f"<a{i}:IntData h='0' v='0'>1</a{i}:IntData>" for i in range(90_000)), "names"),
        ("<IESTM33>" + "<IntData h='0' v='0'>" + "1" * 2_000_000, "1000000 letters"),
        ("<" + "x" * 2_000_000, "1048576 bytes"),
    ],
    ids=range(14),
)  # fmt: skip
def test_limits_are_told_quickly(body: str, says: str) -> None:
    start = time.perf_counter()
    assert says in str(refused(body))
    assert time.perf_counter() - start < 2.0


def test_the_number_of_points_is_limited(monkeypatch: pytest.MonkeyPatch) -> None:
    assert tree.POINT_LIMIT == 4_000_000
    monkeypatch.setattr(parse, "POINT_LIMIT", 3)
    assert read_tm33(document().encode()).distribution.candela.size == 6
    error = refused(document([(0, angle, 1) for angle in (0, 30, 60, 90)]))
    assert isinstance(error, LimitError) and "points" in str(error)


def test_a_grid_of_many_angles_takes_no_memory_for_its_holes() -> None:
    start = time.perf_counter()
    body = point_lines((i / 1e4, i / 1e4, 1.0) for i in range(30_000))
    error = refused(document(body, counts=""))
    assert "900000000 points" in str(error) and time.perf_counter() - start < 2.0


def test_a_file_beyond_32_mb() -> None:
    assert isinstance(refused(b"<" + b" " * 32_000_000), LimitError)


MEMORY = """
import sys, time
from scenelux.photometry.tm33.read import read_tm33
from tests.unit.photometry.tm33.documents import document, point_lines
planes, angles = int(sys.argv[1]), int(sys.argv[2])
h = [360.0 * i / (planes - 1) for i in range(planes)]
v = [180.0 * i / (angles - 1) for i in range(angles)]
listed = "\\n".join(f'<IntData h="{a:.6g}" v="{b:.6g}">{100 + (i * j) % 97 / 7:.3f}</IntData>'
                   for i, a in enumerate(h) for j, b in enumerate(v))
data = document(listed, symm="<Symm>Symm_None</Symm>", counts="").encode()
del listed, h, v
def kilobytes(name):
    return next(int(line.split()[1]) for line in open("/proc/self/status") if line.startswith(name))
open("/proc/self/clear_refs", "w").write("5")
before, start = kilobytes("VmRSS"), time.process_time()
file = read_tm33(data)
print(len(data), time.process_time() - start, (kilobytes("VmHWM") - before) * 1024, file.distribution.candela.size)
"""


def measured(planes: int, angles: int) -> tuple[float, ...]:
    command = [sys.executable, "-c", MEMORY, str(planes), str(angles)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    return tuple(float(word) for word in done.stdout.split())


@pytest.mark.skipif(sys.platform != "linux", reason="reads the memory in use from /proc")
def test_a_file_of_8_mb_is_read_in_a_second_and_little_memory() -> None:
    size, seconds, extra, values = measured(370, 450)
    assert 7.5e6 < size < 9.5e6 and values == 370 * 450
    assert seconds < 1.0 and extra < 60e6


@pytest.mark.skipif(sys.platform != "linux", reason="reads the memory in use from /proc")
def test_the_largest_file_stays_within_its_memory() -> None:
    size, _, extra, values = measured(750, 800)
    assert 29e6 < size < 32e6 and values == 600_000
    assert size + extra < 200e6


@pytest.mark.parametrize(
    ("body", "line", "column"),
    [
        ("<IESTM33>\n  <a></b>", 2, 8),
        ("<IESTM33>\n<a b=1/>", 2, 6),
        ("<IESTM33>\n<a b='1' b='2'/>", 2, 10),
        ("<IESTM33>\r\n\r\n&", 3, 1),
        ("<IESTM33/>\nrest", 2, 1),
        ("<IESTM33>\n<a", 2, 1),
        ("<IESTM33>\n", 1, 10),
        ("  \n <IESTM33>\n</a>", 3, 3),
        ("<IESTM33>\x01</IESTM33>", 1, 10),
    ],
)
def test_malformed_xml_names_its_place(body: str, line: int, column: int) -> None:
    error = refused(body)
    assert isinstance(error, PhotometricError) and error.code == 130
    assert (error.line, error.column) == (line, column), str(error)


def test_a_file_that_ends_early_anywhere() -> None:
    body = document().encode()
    for end in range(1, len(body)):
        refused(body[:end])


@pytest.mark.parametrize("data", [b"", b" \n", b"\0\0", b"\xef\xbb\xbf", b"\xff\xfe"])
def test_empty_files(data: bytes) -> None:
    error = refused(data)
    assert isinstance(error, PhotometricError) and error.code == 59


def with_text(encoding: str, text: str = "Höhe") -> str:
    declaration = f'<?xml version="1.0" encoding="{encoding}"?>\n' if encoding else ""
    return document(header=f"<Header><Comments>{text}</Comments></Header>", declaration=declaration)


@pytest.mark.parametrize(
    ("declared", "written", "warned"),
    [
        ("UTF-8", "utf-8", []),
        ("", "utf-8", []),
        ("utf8", "utf-8", []),
        ("UTF-8", "utf-8-sig", [28]),
        ("UTF-16", "utf-16", [30]),
        ("", "utf-16", [30]),
        ("UTF-8", "utf-16", [30]),
        ("UTF-16", "utf-8", []),
        ("ISO-8859-1", "iso-8859-1", []),
        ("windows-1252", "cp1252", []),
        ("Windows-1252", "cp1252", []),
        ("UTF-8", "cp1252", [29]),
        ("", "iso-8859-1", [29]),
    ],
)
def test_encodings(declared: str, written: str, warned: list[int]) -> None:
    file = read_tm33(with_text(declared).encode(written))
    assert file.text("OTHER") == "Höhe" and [warning.code for warning in file.warnings] == warned


def test_windows_1252_has_its_own_quotes() -> None:
    assert read_tm33(with_text("windows-1252", "“a” €").encode("cp1252")).text("OTHER") == "“a” €"


@pytest.mark.parametrize("name", ["EBCDIC-CP-US", "rot13", "idna", "unicode_escape", "UTF-7", "x" * 50])
def test_encodings_that_are_not_read(name: str) -> None:
    error = refused(with_text(name, "plain"))
    assert isinstance(error, PhotometricError) and error.code == 133 and name in str(error)


def test_utf_16_without_its_mark_is_refused() -> None:
    error = refused(with_text("UTF-16").encode("utf-16-le"))
    assert isinstance(error, PhotometricError) and error.code == 30


def test_what_follows_the_document() -> None:
    file = read_tm33(document().encode() + b"\n\x1a\0\0")
    assert [warning.code for warning in file.warnings] == [26]
    assert read_tm33(b"\n  " + document(declaration="").encode() + b"\n\n").warnings == ()


def test_a_declaration_after_blanks_is_read() -> None:
    assert read_tm33(b"\r\n " + document().encode()).distribution.candela.max() == 100


def test_lines_are_counted_in_the_file_also_after_blanks_and_in_utf_16() -> None:
    body = "\n\n" + document('<IntData h="0" v="0">nan</IntData>', counts="")
    for encoding in ("utf-8", "utf-16"):
        assert refused(body.encode(encoding)).line == 5


def test_mixed_text_stays_with_its_element() -> None:
    log = FaultLog("")
    root = parse.parse_xml(b"<IESTM33>a<b>c</b>d<e/>\n f</IESTM33>", log, ROOTS)
    assert root.text == "ad\n f" and root.words() == "ad f c" and [one.name for one in root.within()] == ["b", "e"]


FULL = document(
    header="<Header><Manufacturer>invented</Manufacturer><Comments>a &amp; b &#233;</Comments></Header>",
    before="<Luminaire><Dimensions><Length>0.6</Length><Width>0.1</Width><Height>0.1</Height></Dimensions></Luminaire>",
    emitter="<Description>x</Description><RatedLumens>90</RatedLumens><BallastFactor>1</BallastFactor>",
    multiplier="<Multiplier>1.5</Multiplier>",
    flux="<LuminousFlux>200</LuminousFlux>",
    after="<CustomData><Name>luminous opening of scenelux</Name><Shape>ellipse</Shape><Solid>circle</Solid>"
    "<Length>0.1</Length><Width>0.1</Width><Height>0</Height></CustomData>"
    "<CustomData><Name>tilt table of scenelux</Name><Geometry>1</Geometry><LampPosition h='1' v='2'/>"
    "<Factor tilt='0'>1</Factor><Factor tilt='90'>0.8</Factor></CustomData>"
    "<CustomData><Name>keywords of scenelux</Name>"
    "<HeaderKeyword name='LAMP'/><Keyword name='Q'>q</Keyword></CustomData>",
).encode()
SCRAPS = (
    *(
        b"<",
        b">",
        b"/",
        b"&",
        b'"',
        b"nan",
        b"-1",
        b"1e999",
        b"9" * 400,
        b"90",
        b"360",
        b"",
        b" ",
        b"0",
        b"\xff",
        b"\0",
    ),
    *(b"</Emitter>", b"<Emitter>", b"<IntData>", b'<IntData h="0" v="0">1</IntData>', b"]]>", b"<![CDATA["),
    *(b"Symm_None", b"Symm_Bi_90", b"IES_B", b"<!DOCTYPE a>", b"<a:b xmlns:a=''/>"),
)


@settings(max_examples=400)
@given(st.lists(st.tuples(st.integers(0, len(FULL)), st.integers(0, 30), st.sampled_from(SCRAPS)), max_size=4))
def test_mutations_never_end_in_another_exception(cuts: list[tuple[int, int, bytes]]) -> None:
    data = FULL
    for at, length, scrap in cuts:
        data = data[:at] + scrap + data[at + length :]
    try:
        file = read_tm33(data)
    except InputError as error:
        assert str(error)
    else:
        assert file.distribution.candela.min() >= 0


def test_more_mutations_from_a_fixed_seed() -> None:
    generator = random.Random(20)
    tokens = FULL.replace(b"<", b"\0<").replace(b">", b">\0").split(b"\0")
    for _ in range(1500):
        one = list(tokens)
        for _ in range(generator.randint(1, 3)):
            at, other = generator.randrange(len(one)), generator.randrange(len(one))
            one[at] = generator.choice((one[other], b"", generator.choice(SCRAPS), one[at] + one[at]))
        try:
            read_tm33(b"".join(one))
        except InputError as error:
            assert str(error)
