"""The house keeps its own rules: arrows, light imports, units in docstrings, sources that exist, clean words."""

from __future__ import annotations

import ast
import csv
import hashlib
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

from stillroom.sources import bibliography

ROOT = Path(__file__).resolve().parents[1]
SRC = ROOT / "src"
PACKAGE = SRC / "stillroom"
MODULES = sorted(
    ".".join(path.relative_to(SRC).with_suffix("").parts).removesuffix(".__init__")
    for path in PACKAGE.rglob("*.py")
    if "migrations" not in path.parts
)
PHYSICS = ("emission", "bed", "room", "media", "cabinet", "assessment/checks", "substances/properties")


def run(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, *arguments], cwd=ROOT, capture_output=True, text=True, timeout=120, check=False
    )


def loaded(code: str) -> set[str]:
    """Top-level modules that are there after `code` in a fresh interpreter."""
    done = run(
        "-c",
        f"import sys\n{code}\nprint('LOADED', *sorted({{name.partition('.')[0] for name in sys.modules}}))",
    )
    assert done.returncode == 0, done.stderr
    line = next(line for line in reversed(done.stdout.splitlines()) if line.startswith("LOADED"))
    return set(line.split()[1:])


def test_the_arrows_point_down() -> None:
    done = run("-c", "from importlinter.cli import lint_imports_command; lint_imports_command()")
    assert done.returncode == 0, done.stdout + done.stderr
    assert "0 broken" in done.stdout


HEAVY = {
    "numpy",
    "scipy",
    "django",
    "chemicals",
    "thermo",
    "rdkit",
    "ortools",
    "typst",
    "pandas",
    "pydantic",
    "rich",
}


def test_the_package_imports_nothing_heavy() -> None:
    assert not loaded("import stillroom") & (HEAVY | {"click"})


def test_the_help_imports_nothing_heavy() -> None:
    code = (
        "sys.argv = ['stillroom', '--help']\n"
        "from stillroom.cli.main import main\n"
        "try:\n    main()\nexcept SystemExit as stop:\n    assert not stop.code, stop.code\n"
    )
    assert not loaded(code) & HEAVY


@pytest.mark.parametrize(
    "room", ["units", "errors", "sources", "substances", "segregation", "assessment", "cabinet.design"]
)
def test_looking_into_a_room_loads_no_chemistry(room: str) -> None:
    """Data and names come at once, chemistry packages when a function needs them."""
    assert not loaded(f"import stillroom.{room}") & {
        "chemicals",
        "thermo",
        "rdkit",
        "ortools",
        "typst",
        "django",
    }


def _public_functions(path: Path) -> Iterator[ast.FunctionDef]:
    tree = ast.parse(path.read_text("utf-8"))
    for node in tree.body:
        members = node.body if isinstance(node, ast.ClassDef) and not node.name.startswith("_") else [node]
        for member in members:
            if isinstance(member, ast.FunctionDef) and not member.name.startswith("_"):
                yield member


def _without_unit(function: ast.FunctionDef) -> Iterator[str]:
    """Numeric parameters whose entry under Parameters holds no `[unit]`."""
    doc = ast.get_docstring(function) or ""
    entries = doc.partition("Parameters\n----------\n")[2]
    entries = re.split(r"\n\w[^\n]*\n-{3,}\n", entries)[0]
    units = {}
    for head, body in re.findall(
        r"^(\S[^\n]*)\n((?:[ ]+[^\n]*\n?|\n(?=[ ]))*)", entries + "\n", re.MULTILINE
    ):
        names = [name.strip() for name in head.partition(":")[0].split(",")]
        units |= dict.fromkeys(names, bool(re.search(r"\[[^\]\s][^\]]*\]", head + body)))
    every = [*function.args.posonlyargs, *function.args.args, *function.args.kwonlyargs]
    for argument in every:
        kind = ast.unparse(argument.annotation) if argument.annotation else ""
        if re.search(r"\b(float|int|Array|NDArray|ndarray)\b", kind) and not units.get(argument.arg, False):
            yield argument.arg


def test_the_check_of_units_sees_what_is_wanting() -> None:
    good = '''def f(a: float, b: float, c: str):
    """F.

    Parameters
    ----------
    a, b : float
        Lengths [m].
    c : str

    Returns
    -------
    float
        [m]
    """'''
    bad = good.replace("Lengths [m].", "Lengths.")
    assert list(_without_unit(ast.parse(good).body[0])) == []  # type: ignore[arg-type]
    assert list(_without_unit(ast.parse(bad).body[0])) == ["a", "b"]  # type: ignore[arg-type]


def test_every_number_that_physics_takes_has_its_unit_in_the_docstring() -> None:
    found = {
        f"{path.relative_to(PACKAGE)}:{function.name}:{name}"
        for room in PHYSICS
        for path in sorted((PACKAGE / room).rglob("*.py"))
        for function in _public_functions(path)
        for name in _without_unit(function)
    }
    assert found == set(), "write the unit, in brackets, beside each of these parameters"


@pytest.mark.parametrize("name", MODULES)
def test_what_a_module_promises_is_there(name: str) -> None:
    module = import_module(name)
    promised = getattr(module, "__all__", ())
    assert len(set(promised)) == len(promised)
    assert [word for word in promised if not hasattr(module, word)] == []


NO_BIBLIOGRAPHY = {"user"}
"""Said of values that the user gives."""


def _sources(value: Any) -> Iterator[str]:
    """Every `source` in the tables of a TOML file."""
    if isinstance(value, dict):
        for key, inner in value.items():
            if (key == "source" or key.endswith("_source")) and isinstance(inner, str):
                yield inner
            else:
                yield from _sources(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _sources(inner)


def _cited(path: Path) -> Iterator[str]:
    text = path.read_text("utf-8")
    if path.suffix == ".toml":
        yield from _sources(tomllib.loads(text))
    elif path.suffix == ".csv":
        lines = [line for line in text.splitlines() if line and not line.startswith("#")]
        for row in csv.DictReader(lines):
            yield from (row[key] for key in row if key and key.endswith("source") and row[key])
    else:
        for node in ast.walk(ast.parse(text)):
            if (
                isinstance(node, ast.keyword)
                and node.arg == "source"
                and isinstance(node.value, ast.Constant)
            ):
                yield node.value.value


def test_every_source_is_in_the_bibliography() -> None:
    files = [path for ending in ("toml", "csv", "py") for path in sorted(PACKAGE.rglob(f"*.{ending}"))]
    known, seen, missing = bibliography(), 0, []
    for path in files:
        if "demo" in path.parts or path.parent == PACKAGE / "sources" / "data":
            continue  # invented inventories; the bibliography itself
        for key in _cited(path):
            seen += 1
            if key and key not in known and key not in NO_BIBLIOGRAPHY:
                missing.append(f"{path.relative_to(PACKAGE)}: {key}")
    assert seen > 500  # hundreds of rows name their source; fewer means that this test reads the wrong place
    assert sorted(set(missing)) == []


def test_the_licence_is_the_canonical_text() -> None:
    """SHA-256 of https://www.apache.org/licenses/LICENSE-2.0.txt, which ortools and absl-py ship too."""
    text = (ROOT / "LICENSE").read_bytes()
    assert (
        hashlib.sha256(text).hexdigest() == "cfc7749b96f63bd31c3c42b5c471bf756814053e847c10f3eb003417bc523d30"
    )


FORBIDDEN = re.compile(
    "|".join((r"\btran" + r"scripts?\b", "/wo" + "rk/", "seed" + " document")), re.IGNORECASE
)
"""Of the workshop, not of the product."""


def test_no_text_speaks_of_the_workshop() -> None:
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=False)
    if listed.returncode:
        pytest.skip("not a git checkout: the list of tracked files is not known")
    found = []
    for name in filter(None, listed.stdout.decode().split("\0")):
        path = ROOT / name
        data = path.read_bytes() if path.is_file() else b""
        if b"\0" in data or not data:
            continue
        lines = data.decode("utf-8", "replace").splitlines()
        found += [f"{name}:{number}" for number, line in enumerate(lines, 1) if FORBIDDEN.search(line)]
    assert found == []
