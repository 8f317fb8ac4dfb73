"""Small valid files of every format, edition and symmetry, and a tilt file, to mutate."""

from __future__ import annotations

from scenelux.errors import InputError
from scenelux.photometry import IntensityDistribution, Opening, convert, read_lm63, write_lm63

__all__ = ["valid_files"]

HEADS = {
    "1986": "A lamp of long ago",
    "1991": "IESNA91\n[TEST] t\n[MANUFAC] m",
    "1995": "IESNA:LM-63-1995\n[OTHER] a\n[MORE] b\n[FLASHAREA] 0.1",
    "2002": "IESNA:LM-63-2002\n[TEST] t\n[TESTLAB] l\n[ISSUEDATE] d\n[MANUFAC] m\n[_LUMENS] 500",
    "2019": "IES:LM-63-2019\n[TEST] t\n[TESTLAB] l\n[ISSUEDATE] d\n[MANUFAC] m\n[FILEGENINFO] g",
}
PLANES = {
    "1": ("0 45 90", ["0", "0 45 90", "0 90 180", "0 90 180 270 360", "90 180 270", "0 120 240"]),
    "2": ("-90 0 90", ["-90 0 90", "0 45 90", "-30 0 30"]),
    "3": ("0 45 90", ["-90 0 90", "0 90"]),
}
TILT = "TILT=INCLUDE\n1\n3\n0 45 90\n1 .9 .8"


def _lm63(
    head: str, kind: str, v: str, h: str, second: str, tilt: str = "TILT=NONE", size: str = "-.1 -.2 .3"
) -> bytes:
    rows = "\n".join(f"{90 + number} 50 {number % 3}" for number in range(len(h.split())))
    record = f"2 500 1.5 3 {len(h.split())} {kind} 1 {size}"
    return "\n".join((head, tilt, record, second, v, h, rows, "")).encode()


def _lm63_files() -> list[bytes]:
    files = [
        _lm63(HEADS[edition], kind, v, h, "0.9 1 24" if edition != "2019" else "1 1.11100 24")
        for edition in HEADS
        for kind, (v, lists) in PLANES.items()
        for h in lists
    ]
    plain = files[-14]
    files += [
        _lm63(HEADS["2002"], "1", "0 45 90", "0", "1 1 5", TILT),
        _lm63(HEADS["1991"], "1", "0 45 90", "0", ".9 .8 5", "TILT=lamp.tlt", "0 1 -1"),
        b"\xef\xbb\xbf" + plain,
        plain.decode().encode("utf-16"),
        plain.replace(b"\n", b"\r\n").replace(b"[TEST] t", b"[TEST] 60\xb0"),
        plain.replace(b"\n", b"\r").replace(b" ", b"\t"),
        plain.replace(b" ", b", ") + b"END\x1a",
        plain.replace(b"1.5", b"1,5"),
        plain.replace(b"[TEST] t", b"[_LAMPSET2] 1 | LED | 500 | white | 80 | 10\n[_LUMINAIRESIZEMM] 600 150 80"),
        b"1\n3\n0 45 90\n1 .9 .8\n",
    ]
    return files


def _others(files: list[bytes]) -> list[bytes]:
    """The same lamps in the other formats, and a lamp with no symmetry at all."""
    h, v = [0, 30, 90, 170, 200, 290, 360], [0, 20, 45, 60, 90]
    candela = [[1000 - 9 * b + (a % 7) * b for b in v] for a in h]
    candela[-1] = candela[0]
    free = read_lm63(write_lm63(IntensityDistribution("C", h, v, candela), [], opening=Opening("rectangle", 1, 0.1)))
    found = []
    for file in [free, *(read_lm63(one) for one in [*files[:-1:3], files[-2]])]:
        for target in ("EULUMDAT", "TM-33", "H-V table"):
            try:
                data = convert(file, target).data
            except InputError:
                continue
            if len(data) < 8000:
                found.append(data)
    emitter = next(one for one in found if b"<Emitter>" in one)
    start, end = emitter.index(b"<Emitter>"), emitter.index(b"</Emitter>") + len(b"</Emitter>")
    return [*found, emitter[:end] + emitter[start:end] + emitter[end:]]


def valid_files() -> list[bytes]:
    """All of them, without repeats, in a fixed order."""
    lm63 = _lm63_files()
    tables = [
        b"# basis: measured\npoint,cd\nH-V,300\n5U-10L,200\n5D-20R,10.5\n10U 5L,4\nH-5R,40\n",
        b"# basis: required minimum\n# unit: lx at 25 m\nH;V;lx\n0;0;1,5\n-5;0;0,5\n5;0;,5\n0;5;1\n0;-5;1\n",
        b"# basis: measured\n# type: B\n,20L,10L,V,10R,20R\n10U,1,2,3,2,1\nH,5,9,12,9,5\n10D,1,,3,2,1\n",
    ]
    spectrum = b"nm,power\n" + b"".join(b"%d,%d\n" % (nm, 1 + nm % 90) for nm in range(380, 785, 5))
    return list(dict.fromkeys([*lm63, *_others(lm63), *tables, spectrum]))
