"""Run a command as a grandchild and write what it cost: `measured.py REPORT LIMIT_SECONDS COMMAND...`.

A process keeps the peak memory of whoever started it, until long after it has become another program;
started from a large test runner it would be charged for the runner. This small process stands between.
"""

import json
import os
import subprocess
import sys
import threading
import time


def main(report: str, limit_seconds: str, *command: str) -> None:
    """Run the command, killed at the limit, and write its exit code, seconds and megabytes."""
    start = time.monotonic()
    child = subprocess.Popen(command)
    timer = threading.Timer(float(limit_seconds), child.kill)
    timer.start()
    _, status, used = os.wait4(child.pid, 0)
    timer.cancel()
    cost = {
        "exit_code": os.waitstatus_to_exitcode(status),
        "seconds": time.monotonic() - start,
        "cpu_seconds": used.ru_utime + used.ru_stime,
        "megabytes": used.ru_maxrss / 1024,
    }
    with open(report, "w", encoding="utf-8") as file:
        json.dump(cost, file)


if __name__ == "__main__":
    main(*sys.argv[1:])
