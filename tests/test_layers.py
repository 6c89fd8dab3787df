"""The house keeps its shape: who may import whom, migrations, examples that run, rules of the tree."""

import doctest
import importlib
import pkgutil
import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

import wetleaf

ROOT = Path(__file__).parent.parent
SOURCE = ROOT / "src" / "wetleaf"


def _modules() -> Iterator[str]:
    for module in pkgutil.walk_packages(wetleaf.__path__, "wetleaf."):
        if ".migrations" not in module.name and not module.name.endswith("__main__"):
            yield module.name


def _files_of_the_tree() -> list[Path]:
    """Every text file that is kept, or would be: what git knows and what it does not ignore."""
    listed = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z"],
        cwd=ROOT,
        capture_output=True,
        check=True,
    )
    names = (name.decode() for name in listed.stdout.split(b"\0") if name)
    return [ROOT / name for name in names if (ROOT / name).is_file()]


def _text(path: Path) -> str:
    try:
        return path.read_text("utf-8")
    except UnicodeDecodeError:
        return ""


def test_a_step_looks_back_along_the_line_and_never_forward() -> None:
    from importlinter.cli import EXIT_STATUS_SUCCESS, lint_imports

    assert lint_imports(config_filename=str(ROOT / "pyproject.toml"), no_cache=True) == EXIT_STATUS_SUCCESS


@pytest.mark.django_db
def test_migrations_are_up_to_date() -> None:
    from django.core.management import call_command

    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


def test_django_finds_nothing_to_complain_about() -> None:
    from django.core.checks import run_checks

    assert run_checks() == []


@pytest.mark.parametrize("name", sorted(_modules()))
def test_the_examples_in_docstrings_run(name: str) -> None:
    module = importlib.import_module(name)

    failed, _ = doctest.testmod(module)

    assert failed == 0


def test_there_are_examples_to_run() -> None:
    finder = doctest.DocTestFinder()

    examples = [
        test for name in _modules() for test in finder.find(importlib.import_module(name)) if test.examples
    ]

    assert len(examples) > 50


def test_no_file_holds_the_address_of_a_registry() -> None:
    hosts = (
        "pypi" + ".org",
        "pythonhosted" + ".org",
        "registry.npmjs" + ".org",
        "crates" + ".io",
    )
    flags = ("--index" + "-url", "--extra-index" + "-url", "--trusted" + "-host")

    found = [
        f"{path.relative_to(ROOT)}: {word}"
        for path in _files_of_the_tree()
        for word in (*hosts, *flags)
        if word in _text(path)
    ]

    assert found == []


def test_no_page_has_a_style_attribute_or_inline_script() -> None:
    templates = [
        path for path in _files_of_the_tree() if path.suffix in (".html", ".svg") and SOURCE in path.parents
    ]
    odd = re.compile(r"""\sstyle\s*=|\son[a-z]+\s*=\s*["']|javascript:""", re.IGNORECASE)

    found = {
        str(path.relative_to(ROOT)): match[0] for path in templates if (match := odd.search(_text(path)))
    }

    assert templates, "no template was looked at"
    assert found == {}


def test_script_in_a_template_comes_from_a_file_or_is_the_books_hashed_one() -> None:
    """The decision book is one file, so its one small script is in it, named by its hash in the policy."""
    inline = re.compile(r"<script(?![^>]*\ssrc=)[^>]*>(.*?)</script>", re.IGNORECASE | re.DOTALL)
    templates = [path for path in _files_of_the_tree() if path.suffix == ".html" and SOURCE in path.parents]

    written_out = {
        str(path.relative_to(ROOT)): code
        for path in templates
        for code in inline.findall(_text(path))
        if not re.fullmatch(r"\s*\{\{[^{}]*\}\}\s*", code)
    }

    assert written_out == {}


def test_nothing_is_called_after_what_it_is_not() -> None:
    vague = {"utils", "util", "helpers", "helper", "common", "misc", "tools", "shared"}

    found = [
        str(path.relative_to(ROOT))
        for path in _files_of_the_tree()
        if {path.stem.lower(), *(part.lower() for part in path.relative_to(ROOT).parts[:-1])} & vague
    ]

    assert found == []


def test_every_room_says_on_its_front_page_what_lives_there() -> None:
    rooms = [path for path in SOURCE.rglob("__init__.py") if "migrations" not in path.parts]

    silent = [str(path.relative_to(ROOT)) for path in rooms if not path.read_text("utf-8").startswith('"""')]

    assert rooms
    assert silent == []


def test_no_import_climbs_out_of_its_folder() -> None:
    climbing = re.compile(r"^\s*from \.", re.MULTILINE)

    found = [str(path.relative_to(ROOT)) for path in SOURCE.rglob("*.py") if climbing.search(_text(path))]

    assert found == []
