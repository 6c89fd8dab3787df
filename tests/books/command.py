"""Run `wetleaf import` as its own process and measure seconds and peak memory."""

import os
import subprocess
import sys
import tempfile
import threading
import time
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Run:
    """What one run of the command did."""

    exit_code: int
    out: str
    err: str
    seconds: float
    megabytes: float

    @property
    def said(self) -> str:
        """Everything that was printed."""
        return self.out + self.err


def run_import(path: Path, *options: str, limit_seconds: float = 60.0) -> Run:
    """Run the command on a file; a run beyond the limit is killed and has exit code -9."""
    command = [str(Path(sys.executable).parent / "wetleaf"), "import", path.name, *options]
    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err:
        start = time.monotonic()
        child = subprocess.Popen(command, stdout=out, stderr=err, cwd=path.parent)
        timer = threading.Timer(limit_seconds, child.kill)
        timer.start()
        _, status, used = os.wait4(child.pid, 0)
        timer.cancel()
        seconds = time.monotonic() - start
        child.returncode = os.waitstatus_to_exitcode(status)
        out.seek(0)
        err.seek(0)
        said = out.read().decode(errors="replace"), err.read().decode(errors="replace")
    return Run(child.returncode, *said, seconds, used.ru_maxrss / 1024)
