"""Run `wetleaf import` as its own process and measure seconds and peak memory."""

import json
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

MEASURED = Path(__file__).with_name("measured.py")


@dataclass(frozen=True)
class Run:
    """What one run of the command did; `cpu_seconds` does not grow on a busy machine."""

    exit_code: int
    out: str
    err: str
    seconds: float
    cpu_seconds: float
    megabytes: float

    @property
    def said(self) -> str:
        """Everything that was printed."""
        return self.out + self.err


def run_import(path: Path, *options: str, limit_seconds: float = 60.0) -> Run:
    """Run the command on a file; a run beyond the limit is killed and has exit code -9."""
    command = [str(Path(sys.executable).parent / "wetleaf"), "import", path.name, *options]
    with tempfile.NamedTemporaryFile("r", encoding="utf-8") as report:
        between = [sys.executable, "-I", "-S", str(MEASURED), report.name, str(limit_seconds)]
        done = subprocess.run([*between, *command], capture_output=True, cwd=path.parent, check=True)
        cost = json.load(report)
    return Run(out=done.stdout.decode(errors="replace"), err=done.stderr.decode(errors="replace"), **cost)
