"""The documents are true: every command they show runs, every link leads somewhere, everything is listed."""

import re
import shlex
import subprocess
import sys
import threading
import time
import urllib.request
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PAGES = sorted([ROOT / "README.md", *(ROOT / "docs").rglob("*.md")])
FENCE = re.compile(r"^```(\w+)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
WITH_COMMANDS = [
    page for page in PAGES if "```sh\nwetleaf" in page.read_text("utf-8") and page.name != "README.md"
]


def _blocks(page: Path, language: str) -> list[str]:
    return [text for kind, text in FENCE.findall(page.read_text("utf-8")) if kind == language]


def _commands(page: Path) -> list[list[str]]:
    lines = "".join(_blocks(page, "sh")).splitlines()
    return [shlex.split(line, comments=True) for line in lines if line.strip()]


def _run(command: list[str], folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", *command], cwd=folder, capture_output=True, text=True, timeout=120, check=False
    )


def _lay_out_files(page: Path, folder: Path) -> None:
    """The files that a page shows, under the names its commands use."""
    named = dict.fromkeys(word for command in _commands(page) for word in command if word.endswith(".csv"))
    for name, csv in zip(named, _blocks(page, "csv"), strict=False):
        (folder / name).write_text(csv, "utf-8")
    for toml in _blocks(page, "toml"):
        (folder / "mapping.toml").write_text(toml, "utf-8")


def _answers(command: list[str], folder: Path) -> bool:
    """Start a server as the page says and ask it for its first page."""
    port = command[command.index("--port") + 1]
    server = subprocess.Popen([sys.executable, "-m", *command], cwd=folder, stdout=subprocess.PIPE, text=True)
    stopper = threading.Timer(60, server.kill)
    stopper.start()
    try:
        assert server.stdout is not None
        assert f":{port}/" in server.stdout.readline()
        for _ in range(50):
            try:
                with urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=10) as page:
                    return bool(page.status == 200)
            except OSError:
                time.sleep(0.1)
        return False
    finally:
        stopper.cancel()
        server.terminate()
        server.communicate(timeout=20)


@pytest.mark.parametrize("page", WITH_COMMANDS, ids=lambda page: page.stem)
def test_every_command_a_page_shows_runs(page: Path, tmp_path: Path) -> None:
    _lay_out_files(page, tmp_path)

    for command in _commands(page):
        if command[:2] == ["wetleaf", "serve"]:
            assert _answers(command, tmp_path)
            continue
        done = _run(command, tmp_path)
        assert done.returncode == 0, f"{shlex.join(command)}\n{done.stdout}\n{done.stderr}"
        assert done.stdout.strip(), f"{shlex.join(command)} says nothing"


def test_the_commands_of_the_readme_run_on_a_workbook_named_as_there(tmp_path: Path) -> None:
    made = _run(["wetleaf", "demo", "--workbooks", "."], tmp_path)
    assert made.returncode == 0, made.stderr
    (tmp_path / "buying-2025.xlsx").rename(tmp_path / "spring.xlsx")

    ran = [_run(command, tmp_path) for command in _commands(ROOT / "README.md") if command[0] == "wetleaf"]

    assert [done.returncode for done in ran] == [0, 0, 0], [done.stderr for done in ran]
    assert (tmp_path / "book.html").stat().st_size > 100_000


def test_every_make_target_the_readme_names_exists() -> None:
    targets = set(re.findall(r"^(\w+):", (ROOT / "Makefile").read_text("utf-8"), re.MULTILINE))

    named = [command[1] for command in _commands(ROOT / "README.md") if command[0] == "make"]

    assert named == ["demo", "test"]
    assert set(named) <= targets


def test_every_link_between_documents_leads_to_a_file() -> None:
    links = [
        (page, target)
        for page in PAGES
        for target in re.findall(r"\]\(([^)#]+)", page.read_text("utf-8"))
        if "://" not in target
    ]

    assert len(links) > 10
    assert [f"{page.name}: {target}" for page, target in links if not (page.parent / target).exists()] == []


def test_every_command_is_in_the_reference() -> None:
    from wetleaf.cli.main import app

    names = [command.name for command in app.registered_commands]
    for group in app.registered_groups:
        names += [f"{group.name} {command.name}" for command in group.typer_instance.registered_commands]
    reference = (ROOT / "docs/reference/commands.md").read_text("utf-8")

    assert len(names) >= 10
    assert [name for name in names if f"`wetleaf {name}" not in reference] == []


def test_every_setting_is_in_the_reference() -> None:
    settings = (ROOT / "src/wetleaf/site/settings.py").read_text("utf-8")
    reference = (ROOT / "docs/reference/settings.md").read_text("utf-8")

    read = set(re.findall(r'environ\.get\("(WETLEAF_\w+)"', settings))

    assert len(read) >= 4
    assert {name for name in read if f"`{name}`" not in reference} == set()


def test_every_public_room_of_numerics_has_its_methods_written_down() -> None:
    methods = (ROOT / "docs/reference/methods.md").read_text("utf-8").lower()
    rooms = {path.stem for path in (ROOT / "src/wetleaf/numerics").iterdir() if path.stem != "__init__"}

    described = {
        "profiles",
        "simultaneous",
        "shortlists",
        "continuity",
        "designs",
        "differences",
        "preferences",
        "rankings",
    }

    assert described <= rooms
    assert {room for room in described if room not in methods} == set()
