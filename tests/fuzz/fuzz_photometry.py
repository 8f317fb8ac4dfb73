"""Coverage-guided fuzzing of every photometric reader: mutated valid files must be read or refused, nothing else.

Run it with the extra `fuzz` installed; it is no part of the default test run:

    python tests/fuzz/fuzz_photometry.py --minutes 30

Each input is given to the reader that goes by content, to every reader by itself, and to the spectrum reader. What was
read is measured and written in every format, and read again. An exception that is no InputError, ten seconds for one
input, or 200 MB more than at the start ends the run with exit status 1 and leaves the input in OUT/; put it into
tests/unit/photometry/crashes/, where a test reads it ever after. The last line counts the inputs.
"""

from __future__ import annotations

import argparse
import re
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

INSTRUMENTED = [
    f"scenelux.photometry.{one}" for one in ("lm63", "eulumdat", "tm33", "hv", "text", "symmetry", "formats")
]
MEMORY_MB, SECONDS, LARGEST = 200, 10, 12_000
ROOT = Path(__file__).resolve().parents[2]
WORDS = r"""
TILT=NONE|TILT=INCLUDE|IESNA91|IESNA:LM-63-1995|IESNA:LM-63-2002|IES:LM-63-2019|[TEST]|[MORE]|[BLOCK]|[ENDBLOCK]
[NEARFIELD]|[LAMPPOSITION]|[_LUMENS]|1.00001|1.11100|-1|0|90|180|270|360|1e308|1e-320|nan|inf|0x1F|1_0|.5.5|1,5
\x0d\x0a|\x0d|\x09|\x1a|\xef\xbb\xbf|\xff\xfe|\x00|\xb0|<IESTM33-22>|<IESTM33>|<IntData h=\"0\" v=\"0\">
<Symm>Symm_Quad</Symm>|<NumberHorz>2</NumberHorz>|<!DOCTYPE x [|<!ENTITY a \"b\">|&a;|]]>|<![CDATA[
<?xml version=\"1.0\" encoding=\"UTF-16\"?>|10U-5L|5D-20R|H-V|# basis: measured|# unit: lx at 25 m|# type: B
point,cd|H;V;cd|nm,power|400|700
"""


def usable(data: bytes) -> None:
    """Reads, or refuses with an error of ours; whatever was read can be measured, written and read again."""
    import numpy as np

    from scenelux.colour import chromaticity_of, read_spectrum
    from scenelux.errors import InputError
    from scenelux.photometry import (
        convert,
        flux_lm,
        peak,
        read_eulumdat,
        read_hv_table,
        read_lm63,
        read_photometric,
        read_tm33,
    )  # fmt: skip

    for read in (read_photometric, read_lm63, read_eulumdat, read_tm33, read_hv_table):
        try:
            file = read(data, "fuzz")
        except InputError as error:
            assert "\n" not in str(error)
            continue
        assert np.isfinite(flux_lm(file.distribution)) and np.isfinite(peak(file.distribution).candela)
        if read is not read_photometric or file.distribution.candela.size > 3000:
            continue
        for target in ("LM-63-2002", "LM-63-2019", "EULUMDAT", "TM-33", "H-V table"):
            if target == "EULUMDAT" and file.distribution.photometric_type == "B":
                continue  # resampling takes long and is no reader
            try:
                written = convert(file, target).data
            except InputError:
                continue  # such as no H and V for type C
            read_photometric(written, "written")  # what we write we read: an error here is a fault
    try:
        chromaticity_of(read_spectrum(data, "fuzz"))
    except InputError as error:
        assert "\n" not in str(error)


def fuzz(arguments: list[str]) -> None:
    """One process of the fuzzer; libFuzzer never returns from it."""
    import atheris

    with atheris.instrument_imports(include=INSTRUMENTED):
        import scenelux.colour
        import scenelux.photometry  # noqa: F401
    from seeds import valid_files

    for one in valid_files():
        usable(one)
    atheris.Setup([*arguments, "-rss_limit_mb=6000"], _watched)  # the fuzzer's own tables grow
    atheris.Fuzz()


def _watched(data: bytes) -> None:
    """One input, which may not raise the most memory that this process ever took by more than the limit."""
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    usable(data)
    grown_mb = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024
    if grown_mb > MEMORY_MB:
        raise MemoryError(f"{grown_mb:.0f} MB for one input")


def main() -> int:
    """Seeds, two processes on one corpus, and the count."""
    from seeds import valid_files

    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--minutes", type=float, default=30.0)
    parser.add_argument("--out", type=Path, default=Path(tempfile.gettempdir()) / "scenelux-fuzz")
    parser.add_argument("--processes", type=int, default=2)
    chosen = parser.parse_args()
    corpus = chosen.out / "corpus"
    corpus.mkdir(parents=True, exist_ok=True)
    for number, one in enumerate(valid_files()):
        (corpus / f"seed-{number:03}").write_bytes(one)
    words = chosen.out / "words.dict"
    words.write_text("".join(f'"{word}"\n' for word in re.split(r"[|\n]", WORDS.strip())))
    running = []
    for number in range(chosen.processes):
        log = (chosen.out / f"log-{number}.txt").open("wb")
        command = [
            sys.executable, __file__, "--worker", str(corpus), f"-dict={words}", f"-seed={number + 1}",
            f"-max_total_time={int(60 * chosen.minutes)}", f"-timeout={SECONDS}", f"-max_len={LARGEST}",
            f"-artifact_prefix={chosen.out}/found-{number}-", "-print_final_stats=1", "-reload=60",
        ]  # fmt: skip
        running.append(subprocess.Popen(command, stdout=log, stderr=subprocess.STDOUT))
    started = time.monotonic()
    while any(one.poll() is None for one in running):
        time.sleep(5)
        if any(one.poll() not in (None, 0) for one in running):
            break
    for one in running:
        one.terminate()
        one.wait()
    logs = [(chosen.out / f"log-{number}.txt").read_text(errors="replace") for number in range(chosen.processes)]
    counts = [max(map(int, re.findall(r"^#(\d+)\s", log, re.MULTILINE)), default=0) for log in logs]
    found = sorted(path.name for path in chosen.out.glob("found-*"))
    minutes = (time.monotonic() - started) / 60
    print(f"{sum(counts)} inputs in {minutes:.1f} min on {chosen.processes} processes, {len(found)} found: {found}")
    return 1 if found or any(one.returncode not in (0, -15) for one in running) else 0


if __name__ == "__main__":
    sys.path[:0] = [str(ROOT), str(Path(__file__).parent)]
    if sys.argv[1:2] == ["--worker"]:
        fuzz([sys.argv[0], *sys.argv[2:]])
    else:
        sys.exit(main())
