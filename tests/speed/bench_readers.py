"""Time and memory of the photometric readers on large and hostile inputs of 8 and 32 MB, each in a process of its own.

python tests/speed/bench_readers.py [word of a name ...]

Prints time of the processor and the most memory beyond the file itself. A file of 8 MB may take 1 s, any file 5 s and
200 MB; what breaks that is marked and makes the exit status 1. Time counts on a quiet machine.
"""

from __future__ import annotations

import multiprocessing
import re
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from scenelux.errors import InputError
from scenelux.photometry import read_photometric

SIZES = (8_000_000, 31_900_000)
SECONDS, SECONDS_AT_MOST, MEMORY_MB = 1.0, 5.0, 200.0

LM63 = b"IESNA:LM-63-2002\n[TEST] t\nTILT=NONE\n"
RECORDS = b"1 -1 1 2 1 1 2 0 0 0\n1 1 1\n0 90\n0\n100 0\n"
XML = b"<IESTM33-22><Version>1.1</Version><Emitter><LuminousData><LuminousIntensity>"
POINT = b'<IntData h="0" v="0">1</IntData>\n'
HEADER = b"<Header>%b</Header>"
KEYWORD = b'<Keyword name="_FLUX">1</Keyword>'
OWN = b"<CustomData><Name>keywords of scenelux</Name>%b</CustomData>"
TILT = b"<CustomData><Name>tilt table of scenelux</Name><Geometry>1</Geometry>%b</CustomData>"
ALIASES = b'<IntensityData vert="0" horz="0">1</IntensityData>'
BLANK = b" " * 80 + b"\n"
HV = b"# basis: measured\npoint,cd\n"


def filled(part: bytes, size: int, before: bytes = b"", after: bytes = b"") -> bytes:
    """A part repeated up to a size."""
    room = size - len(before) - len(after)
    return before + (part * (room // len(part) + 1))[:room] + after


def angles(last: float, count: int) -> list[bytes]:
    return [b"%.6g" % (last * at / (count - 1)) for at in range(count)]


def lm63_grid(size: int, value: bytes, kind: int = 1) -> bytes:
    nv = int((size / (len(value) + 1)) ** 0.5) - 20
    row = b" ".join([value] * nv) + b"\n"
    nv, nh = min(nv, 2000), min(size // len(row), 1990)
    row = b" ".join([value] * nv) + b"\n"
    lists = b" ".join(angles(90, nv)) + b"\n" + b" ".join(angles(360 if kind == 1 else 90, nh)) + b"\n"
    return LM63 + b"1 -1 1 %d %d %d 2 0 0 0\n1 1 1\n" % (nv, nh, kind) + lists + row * nh


def eulumdat_grid(size: int, value: bytes, end: bytes = b"\r\n") -> bytes:
    n = min(int((size / (len(value) + len(end))) ** 0.5) - 20, 1990)
    head = [b"m", b"3", b"0", b"%d" % n, b"0", b"%d" % n, b"0", b"r", b"n", b"c", b"f", b"d", *[b"0"] * 9, b"100",
            b"100", b"1", b"0", b"1", b"-1", b"LED", b"1000", b"w", b"80", b"10", *[b"0"] * 10]  # fmt: skip
    around = angles(360, n + 1)[:-1]
    return end.join([*head, *around, *angles(180, n), *[value] * (n * n)]) + end


def tm33_grid(size: int, value: bytes) -> bytes:
    n = int((size / (len(value) + 45)) ** 0.5)
    v = angles(180, n)
    points = b"\n".join(b'<IntData h="%b" v="%b">%b</IntData>' % (a, b, value) for a in angles(360, n) for b in v)
    return XML + points + b"</LuminousIntensity></LuminousData></Emitter></IESTM33-22>"


def tm33_lamp(size: int, before: bytes) -> bytes:
    """A lamp of two points behind other elements, and then comments."""
    lamp = XML.partition(b"<Emitter>")[2] + POINT + POINT.replace(b'v="0"', b'v="90"')
    whole = XML.partition(b"<Emitter>")[0] + before + b"<Emitter>" + lamp
    ends = b"</LuminousIntensity></LuminousData></Emitter></IESTM33-22>"
    return whole + b"<!---->" * ((size - len(whole) - len(ends)) // 7) + ends


def hv_grid(size: int, value: bytes) -> bytes:
    n = min(int((size / (len(value) + 1)) ** 0.5) - 20, 1990)
    head = b"," + b",".join(b"%.6g" % (-40 + 80 * at / n) for at in range(n)) + b"\n"
    rows = b"".join(b"%.6g," % (-40 + 80 * at / n) + b",".join([value] * n) + b"\n" for at in range(n))
    return b"# basis: measured\n" + head + rows


def hv_holes(size: int) -> bytes:
    """As many points as are interpolated between, on a grid with as many holes as are filled, then blank lines."""
    nodes = [(a, b) for a in range(244) for b in range(244)]
    points = b"".join(
        b"%.2fU-%.2fR,%d\n" % (a / 10, b / 10, (a * b) % 90) for a, b in nodes if (a * 7 + b * 31) % 6 == 1
    )
    return filled(BLANK, size, HV + points)


def hv_many() -> bytes:
    """As many points as a list may have, on a full grid."""
    return b"".join(b"%.2fU-%.2fR,%d\n" % (a / 10, b / 10, (a * b) % 90) for a in range(250) for b in range(400))


def hv_tall(size: int, rows: int) -> bytes:
    """A grid of two columns."""
    below = b"".join(b"%.5f,5,6\n" % (at / 1e5) for at in range(rows))
    return filled(BLANK, size, b"# basis: measured\n,1,2\n" + below)


CASES: dict[str, Callable[[int], bytes]] = {
    "LM-63, digits": lambda size: lm63_grid(size, b"5"),
    "LM-63, decimals": lambda size: lm63_grid(size, b"1234.567"),
    "LM-63, type B mirrored twice": lambda size: lm63_grid(size, b"5", 2),
    "LM-63, exponents": lambda size: lm63_grid(size, b"1e1"),
    "LM-63, decimal commas": lambda size: lm63_grid(size, b"5,5").replace(b".", b","),
    "LM-63, numbers left over": lambda size: filled(b"1 ", size, LM63 + RECORDS),
    "LM-63, too few numbers": lambda size: filled(b"1 ", size, LM63 + b"1 -1 1 2000 2000 1 2 0 0 0\n1 1 1\n"),
    "LM-63, a bad last number": lambda size: lm63_grid(size, b"5")[:-3] + b"x\n",
    "LM-63, no TILT": lambda size: filled(b"[OTHER] text\n", size, b"IESNA91\n"),
    "LM-63, text after it": lambda size: filled(b"x y\n", size, LM63 + RECORDS),
    "LM-63, blanks": lambda size: filled(b" ", size, LM63, RECORDS),
    "LM-63, UTF-16": lambda size: lm63_grid(size // 2, b"500").decode().encode("utf-16"),
    "LM-63, one keyword": lambda size: filled(b"w ", size, b"IESNA91\n[TEST] ", b"\nTILT=NONE\n" + RECORDS),
    "EULUMDAT, digits": lambda size: eulumdat_grid(size, b"5"),
    "EULUMDAT, decimals": lambda size: eulumdat_grid(size, b"1234.567"),
    "EULUMDAT, CR CR LF": lambda size: eulumdat_grid(size, b"12", b"\r\r\n"),
    "EULUMDAT, decimal commas": lambda size: eulumdat_grid(size, b"12,5").replace(b".", b","),
    "EULUMDAT, lines left over": lambda size: filled(b"1\n", size, eulumdat_grid(1000, b"5", b"\n")),
    "EULUMDAT, blank lines": lambda size: filled(b"\n", size, eulumdat_grid(60_000, b"5", b"\n"), b"1"),
    "EULUMDAT, one long text": lambda size: filled(b"x", size, b"", eulumdat_grid(1000, b"5")),
    "EULUMDAT, one long number": lambda size: filled(b"1", size, eulumdat_grid(1000, b"5")),
    "EULUMDAT, a bad last line": lambda size: eulumdat_grid(size, b"5")[:-3] + b"x\r\n",
    "TM-33, points": lambda size: tm33_grid(size, b"12.5"),
    "TM-33, points without end": lambda size: filled(POINT, size, XML),
    "TM-33, points named otherwise": lambda size: filled(ALIASES, size, XML),
    "TM-33, points with long numbers": lambda size: filled(POINT.replace(b"1<", b"1" * 300 + b"<"), size, XML),
    "TM-33, empty points": lambda size: filled(b'<IntData h="" v=""/>', size, XML),
    "TM-33, elements": lambda size: filled(b"<a/>", size, XML),
    "TM-33, most elements": lambda size: tm33_lamp(size, b"<a/>" * 99_000),
    "TM-33, most keywords of a header": lambda size: tm33_lamp(size, HEADER % (b"<a>mW</a>" * 99_000)),
    "TM-33, most keywords of its own": lambda size: tm33_lamp(size, OWN % (KEYWORD * 99_000)),
    "TM-33, most factors of a tilt": lambda size: tm33_lamp(size, TILT % (b'<Factor tilt="1">1</Factor>' * 99_000)),
    "TM-33, elements in elements": lambda size: filled(b"<a>", size, XML),
    "TM-33, one text": lambda size: filled(b"x", size, XML),
    "TM-33, texts": lambda size: filled(b"<a>" + b"x" * 900_000 + b"</a>", size, XML),
    "TM-33, character references": lambda size: filled(b"&#65;", size, XML),
    "TM-33, attributes": lambda size: filled(b"".join(b' a%d=""' % at for at in range(size // 9)), size, b"<IESTM33 "),
    "TM-33, one comment": lambda size: filled(b"- ", size, XML + b"<!--"),
    "TM-33, comments": lambda size: filled(b"<!---->", size, XML),
    "TM-33, instructions": lambda size: filled(b"<?a?>", size, XML),
    "TM-33, marked sections": lambda size: filled(b"<![CDATA[x]]>", size, XML),
    "TM-33, blanks": lambda size: filled(b" ", size, b"", XML),
    "TM-33, UTF-16": lambda size: tm33_grid(size // 2, b"12.5").decode().encode("utf-16"),
    "H-V, full grid": lambda size: hv_grid(size, b"5"),
    "H-V, grid of decimals": lambda size: hv_grid(size, b"12.5"),
    "H-V, grid of decimal commas": lambda size: hv_grid(size, b"5;5").translate(bytes.maketrans(b",;.", b";,,")),
    "H-V, grid of dashes": lambda size: hv_grid(size, b"-"),
    "H-V, grid of quotes": lambda size: hv_grid(size, b'"5"'),
    "H-V, empty grid": lambda size: hv_grid(size, b""),
    "H-V, one point again": lambda size: filled(b"10U-5L,200\n", size, HV),
    "H-V, points and holes": hv_holes,
    "H-V, 100000 points": lambda size: filled(BLANK, size, HV + hv_many()),
    "H-V, tall grid": lambda size: hv_tall(size, size // 100),
    "H-V, tall grid, just so": lambda size: hv_tall(size, 20_000),
    "H-V, comments": lambda size: filled(b"#a: b\n", size, b"", HV),
    "H-V, one comment": lambda size: filled(b"a ", size, b"# ", b"\n" + HV),
    "H-V, cells": lambda size: filled(b"1,", size, HV),
    "H-V, quotes": lambda size: filled(b'"', size, HV),
    "H-V, lines in quotes": lambda size: filled(b'"\n\n', size, HV),
    "H-V, blank lines": lambda size: filled(b"\n", size, HV, b"10U-5L,2\n"),
    "H-V, lines of blanks": lambda size: filled(BLANK, size, HV, b"10U-5L,2\n"),
    "H-V, delimiters": lambda size: filled(b";;;;\n", size, b"", HV),
    "H-V, long points": lambda size: filled(b"1 ", size, HV, b"U,5\n"),
    "none, zero bytes": bytes,
    "none, blanks": lambda size: b" " * size,
    "none, line ends": lambda size: b"\r\n" * (size // 2),
    "none, all bytes": lambda size: filled(bytes(range(1, 256)), size),
    "none, one line": lambda size: b"x" * size,
    "none, words": lambda size: filled(b"lorem ipsum, ", size),
    "none, numbers": lambda size: filled(b"1\n", size),
    "none, UTF-16 letters": lambda size: b"\xff\xfe" + b"\x2d\x4e" * (size // 2 - 1),
}  # fmt: skip


def kilobytes(name: str) -> int:
    found = re.search(rf"^{name}:\s+(\d+)", Path("/proc/self/status").read_text(), re.MULTILINE)
    assert found is not None
    return int(found[1])


def measure(name: str, size: int, answer: multiprocessing.SimpleQueue[tuple[int, float, float, str]]) -> None:
    data = CASES[name](size)
    Path("/proc/self/clear_refs").write_text("5")  # the most memory counts from now on
    before, start = kilobytes("VmRSS"), time.process_time()
    try:
        file = read_photometric(data, "bench", neighbour=lambda _: data)
        told = f"{file.format}, {file.distribution.candela.size} intensities"
    except InputError as error:
        told = str(error).removeprefix("bench")
    seconds = time.process_time() - start
    answer.put((len(data), seconds, (kilobytes("VmHWM") - before) / 1024, told))


def main() -> int:
    """The table."""
    apart = multiprocessing.get_context("fork")
    broken = 0
    print(f"{'input':34} {'MB':>5} {'s':>6} {'MB more':>8}")
    for name in [name for name in CASES if all(word in name for word in sys.argv[1:])]:
        for size in SIZES:
            answer = apart.SimpleQueue()
            child = apart.Process(target=measure, args=(name, size, answer))
            child.start()
            length, seconds, more_mb, told = answer.get()
            child.join()
            slow = seconds > (SECONDS if length <= SIZES[0] else SECONDS_AT_MOST)
            broken += slow or more_mb > MEMORY_MB
            mark = " SLOW" * slow + " LARGE" * (more_mb > MEMORY_MB)
            print(f"{name:34} {length / 1e6:5.1f} {seconds:6.2f} {more_mb:8.0f}{mark}  {told[:90]}", flush=True)
    print(f"{broken} beyond the limits")
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())
