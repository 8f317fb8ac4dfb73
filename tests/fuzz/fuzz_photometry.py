"""Coverage-guided fuzzing of every photometric reader: mutated valid files must be read or refused, nothing else.

Run it with the extra `fuzz` installed; it is no part of the default test run:

    python tests/fuzz/fuzz_photometry.py --minutes 30

Each input goes through `usable.py`: every reader and every writer, and back. An exception that is no InputError, ten
seconds for one input, or 200 MB more than before it is a fault: its input is left in OUT/ (one for each place in the
code), the run goes on, and ends with exit status 1. Put such a file into tests/unit/photometry/crashes/, where a test
reads it ever after. The last line counts the inputs.
"""

from __future__ import annotations

import argparse
import re
import resource
import subprocess
import sys
import tempfile
import time
import traceback
from pathlib import Path

INSTRUMENTED = [
    *(f"scenelux.photometry.{one}" for one in ("lm63", "eulumdat", "tm33", "hv", "text", "symmetry", "formats")),
    "scenelux.photometry.intensities", "scenelux.photometry.convert", "scenelux.colour.spectrum",
]  # fmt: skip
MEMORY_MB, SECONDS, LARGEST = 200, 10, 12_000
ROOT = Path(__file__).resolve().parents[2]
WORDS = r"""
TILT=NONE|TILT=INCLUDE|TILT=lamp.tlt|IESNA91|IESNA:LM-63-1995|IESNA:LM-63-2002|IES:LM-63-2019|[TEST]|[MORE]|[BLOCK]
[ENDBLOCK]|[NEARFIELD]|[LAMPPOSITION]|[_LUMENS]|[_RATEDLUMENS]|[_LAMPSET1]|[_LUMINAIRESIZEMM]|[_BASIS]|1.00001|1.11100
-1|0|90|180|270|360|1e308|1e-320|1e13|1e-9|nan|inf|0x1F|1_0|.5.5|1,5|2000|100001|4000001|999999999|99999999999999999999
\x0d\x0a|\x0d|\x09|\x1a|\xef\xbb\xbf|\xff\xfe|\x00|\xb0|<IESTM33-22>|<IESTM33>|<IntData h=\"0\" v=\"0\">
<Symm>Symm_Quad</Symm>|<NumberHorz>2</NumberHorz>|<!DOCTYPE x [|<!ENTITY a \"b\">|&a;|]]>|<![CDATA[
<?xml version=\"1.0\" encoding=\"UTF-16\"?>|</Emitter><Emitter>|10U-5L|5D-20R|H-V|# basis: measured|# unit: lx at 25 m
# type: B|point,cd|H;V;cd|nm,power|400|700
"""


def fuzz(found: Path, arguments: list[str]) -> None:
    """One process of the fuzzer; libFuzzer never returns from it."""
    import atheris

    with atheris.instrument_imports(include=INSTRUMENTED):
        from usable import usable
    from seeds import valid_files

    def watched(data: bytes) -> None:
        """One input; what goes wrong is kept, once for each place, and the run goes on."""
        before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        try:
            usable(data)
            grown_mb = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024
            if grown_mb > MEMORY_MB:
                raise MemoryError(f"{grown_mb:.0f} MB for one input")
        except Exception as error:
            _keep(data, error, found)

    for one in valid_files():
        watched(one)
    atheris.Setup([sys.argv[0], *arguments, "-rss_limit_mb=6000"], watched)  # the fuzzer's own tables grow
    atheris.Fuzz()


def _keep(data: bytes, error: Exception, found: Path) -> None:
    """The input and its traceback under the names of the error and of the deepest place in the product."""
    frames = traceback.extract_tb(error.__traceback__)
    place = next((one for one in reversed(frames) if "scenelux" in one.filename), frames[-1])
    asked = next(one for one in reversed(frames) if "fuzz" in one.filename)
    code = getattr(error, "code", None) or 0
    name = f"found-{type(error).__name__}-{code}-{Path(place.filename).stem}-{place.lineno}-from-{asked.lineno}"
    if not (found / name).exists() or len(data) < (found / name).stat().st_size:
        (found / name).write_bytes(data)
        (found / f"told-{name}.txt").write_text("".join(traceback.format_exception(error)))


def _start(number: int, seed: int, seconds: float, out: Path) -> subprocess.Popen[bytes]:
    command = [
        sys.executable, __file__, "--worker", str(out), str(out / "corpus"), f"-dict={out / 'words.dict'}",
        f"-seed={seed}", f"-max_total_time={int(seconds)}", f"-timeout={SECONDS}", f"-max_len={LARGEST}",
        f"-artifact_prefix={out}/found-{number}-", "-print_final_stats=1", "-reload=60",
    ]  # fmt: skip
    with (out / f"log-{number}-{seed}.txt").open("wb") as log:
        return subprocess.Popen(command, stdout=log, stderr=subprocess.STDOUT)


def main() -> int:
    """Seeds, processes on one corpus, and the count."""
    from seeds import valid_files

    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--minutes", type=float, default=30.0)
    parser.add_argument("--out", type=Path, default=Path(tempfile.gettempdir()) / "scenelux-fuzz")
    parser.add_argument("--processes", type=int, default=2)
    chosen = parser.parse_args()
    (chosen.out / "corpus").mkdir(parents=True, exist_ok=True)
    for old in (*chosen.out.glob("found-*"), *chosen.out.glob("told-*"), *chosen.out.glob("log-*")):
        old.unlink()
    for number, one in enumerate(valid_files()):
        (chosen.out / "corpus" / f"seed-{number:03}").write_bytes(one)
    words = re.split(r"[|\n]", WORDS.strip())
    (chosen.out / "words.dict").write_text("".join(f'"{word}"\n' for word in words))
    started, seed = time.monotonic(), chosen.processes
    end = started + 60.0 * chosen.minutes
    running = [_start(number, number + 1, end - started, chosen.out) for number in range(chosen.processes)]
    while any(one.poll() is None for one in running):
        time.sleep(5)
        for number, one in enumerate(running):
            if one.poll() not in (None, 0) and time.monotonic() < end - 20.0:  # a hang ends its process
                seed += 1
                running[number] = _start(number, seed, end - time.monotonic(), chosen.out)
    logs = [path.read_text(errors="replace") for path in sorted(chosen.out.glob("log-*"))]
    counts = [
        max(map(int, re.findall(r"^(?:#|stat::number_of_executed_units: )(\d+)", log, re.MULTILINE)), default=0)
        for log in logs
    ]
    found = sorted(path.name for path in chosen.out.glob("found-*"))
    minutes = (time.monotonic() - started) / 60
    print(f"{sum(counts)} inputs in {minutes:.1f} min on {chosen.processes} processes, {len(found)} found: {found}")
    return 1 if found or any(one.returncode for one in running) else 0


if __name__ == "__main__":
    sys.path[:0] = [str(ROOT), str(Path(__file__).parent)]
    if sys.argv[1:2] == ["--worker"]:
        fuzz(Path(sys.argv[2]), sys.argv[3:])
    else:
        sys.exit(main())
