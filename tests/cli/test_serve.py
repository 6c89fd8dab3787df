"""`wetleaf serve`: on this machine only, as a person starts it."""

import os
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest

from wetleaf.cli.serve import _refuse_taken_port
from wetleaf.trade.errors import BadInput


def a_free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@pytest.mark.sqlite
def test_the_pages_are_served_on_this_machine_and_nowhere_else(tmp_path: Path) -> None:
    port = a_free_port()
    kept = {key: value for key, value in os.environ.items() if not key.startswith("WETLEAF")}
    server = subprocess.Popen(
        [sys.executable, "-m", "wetleaf", "serve", "--port", str(port), "--workspace", str(tmp_path)],
        stdout=subprocess.PIPE,
        text=True,
        env={**kept, "PYTHONUNBUFFERED": "1"},
    )
    try:
        assert server.stdout is not None
        said = server.stdout.readline()
        page = _first_page(f"http://127.0.0.1:{port}/")
        others = _reachable_elsewhere(port)
    finally:
        server.terminate()
        server.wait(10)
        server.stdout.close()

    assert f"http://127.0.0.1:{port}/" in said
    assert "Nothing is on the books yet." in page
    assert not others


def test_a_port_that_is_taken_is_refused_with_the_way_out() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()

        with pytest.raises(BadInput, match="--port"):
            _refuse_taken_port(taken.getsockname()[1])


def _first_page(address: str) -> str:
    for _ in range(50):
        try:
            with urllib.request.urlopen(address, timeout=5) as answer:
                return str(answer.read().decode())
        except OSError:
            time.sleep(0.2)
    raise AssertionError("the server never answered")


def _reachable_elsewhere(port: int) -> bool:
    """Whether another address of this machine answers; 127.0.0.2 is one that every Linux has."""
    with socket.socket() as probe:
        probe.settimeout(1)
        return probe.connect_ex(("127.0.0.2", port)) == 0
