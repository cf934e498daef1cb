"""Promises about the repository itself: layers, sizes, pins, and what no file may contain."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = ROOT / "src" / "sunfleck"
PYPROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
LONGEST_FILE = 500

# Put together from pieces, so that this file does not contain what it looks for.
FORBIDDEN = {
    "a package registry's address": "|".join(
        [
            "py" + r"pi\.org",
            "python" + "hosted",
            "registry" + r"\.npmjs",
            "deb" + r"\.debian",
            "proxy" + r"\.golang",
        ]
    ),
    "a path of one machine": r"(?<![\w.])/(?:work|tmp|farm|root|home)" + "/",
    "where the project came from": "trans" + "cript|seed " + "document|the " + r"video\b",
}
MADE_BY_MACHINES = {"demo", "dist", "build", "__pycache__"}


def our_files() -> Iterator[Path]:
    """Every text file that belongs to the repository."""
    for folder, folders, files in os.walk(ROOT):
        folders[:] = [
            f for f in folders if f not in MADE_BY_MACHINES and (not f.startswith(".") or f == ".ci")
        ]
        for name in files:
            path = Path(folder) / name
            if path.suffix not in {".png", ".pyc", ".gz"}:
                yield path


def run(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, *arguments], cwd=ROOT, capture_output=True, text=True, check=False)


def test_arrows_point_down():
    """The import contracts of pyproject.toml are kept."""
    done = run("-c", "import sys; from importlinter.cli import lint_imports; sys.exit(lint_imports())")
    assert done.returncode == 0, done.stdout + done.stderr


def test_every_part_of_the_package_has_a_layer():
    """No folder or module escapes the layers, and the contract is exhaustive."""
    contract = PYPROJECT["tool"]["importlinter"]["contracts"][0]
    assert contract["type"] == "layers"
    assert contract["exhaustive"] is True
    assert "exhaustive_ignores" not in contract
    assert "ignore_imports" not in contract
    parts = {p.name for p in PACKAGE.iterdir() if p.is_dir() and any(p.glob("**/*.py"))}
    parts |= {p.stem for p in PACKAGE.glob("*.py") if p.stem != "__init__"}
    assert parts <= set(contract["layers"])


def test_an_import_that_points_up_is_caught(tmp_path: Path):
    """The contract can fail: a formula that imports the plan is reported by name."""
    package = tmp_path / "sunfleck"
    for layer in PYPROJECT["tool"]["importlinter"]["contracts"][0]["layers"]:
        (package / layer).mkdir(parents=True)
        (package / layer / "__init__.py").touch()
    (package / "__init__.py").touch()
    (package / "physics" / "wrong.py").write_text("import sunfleck.plan\n", encoding="utf-8")
    code = (
        "import sys; from importlinter.cli import lint_imports; "
        f"sys.path.insert(0, {str(tmp_path)!r}); "
        f"sys.exit(lint_imports(config_filename={str(ROOT / 'pyproject.toml')!r}, no_cache=True))"
    )
    done = run("-c", code)
    assert done.returncode == 1, done.stdout + done.stderr
    assert "sunfleck.physics.wrong -> sunfleck.plan" in done.stdout


def test_files_have_one_subject():
    """No source file is longer than 500 lines, and none is named after nothing."""
    long = {
        str(path.relative_to(ROOT)): count
        for path in our_files()
        if path.suffix == ".py"
        and (count := len(path.read_text(encoding="utf-8").splitlines())) > LONGEST_FILE
    }
    assert long == {}
    vague = {"utils", "util", "helpers", "helper", "manager", "common", "misc"}
    assert [p for p in our_files() if p.stem in vague or vague & set(p.relative_to(ROOT).parts)] == []


@pytest.mark.parametrize("what", FORBIDDEN)
def test_no_file_contains(what: str):
    """No registry's address, no path of one machine, no mention of where the project came from."""
    pattern = re.compile(FORBIDDEN[what], re.IGNORECASE)
    found = [
        f"{path.relative_to(ROOT)}:{number}: {line.strip()[:100]}"
        for path in our_files()
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if pattern.search(line)
    ]
    assert found == []


def test_forbidden_patterns_find_what_they_are_for():
    """The search above can fail."""
    samples = ["https://py" + "pi.org/simple", "open('/wo" + "rk/x')", "the trans" + "cript says"]
    for pattern, sample in zip(FORBIDDEN.values(), samples, strict=True):
        assert re.search(pattern, sample, re.IGNORECASE)


def pins() -> dict[str, str]:
    lines = (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()
    assert all(re.fullmatch(r"[A-Za-z0-9._-]+==[A-Za-z0-9.]+", line) for line in lines), "only name==version"
    return {canonicalize_name(name): version for name, version in (line.split("==") for line in lines)}


def test_everything_asked_for_is_pinned():
    """Each requirement of pyproject.toml has a pin that satisfies it, the build backend included."""
    project = PYPROJECT["project"]
    asked = [*PYPROJECT["build-system"]["requires"], *project["dependencies"]]
    asked += [line for extra in project["optional-dependencies"].values() for line in extra]
    asked += [line for group in PYPROJECT["dependency-groups"].values() for line in group]
    pinned = pins()
    for line in asked:
        requirement = Requirement(line)
        name = canonicalize_name(requirement.name)
        assert name in pinned, f"{name} has no pin"
        assert requirement.specifier.contains(pinned[name]), f"{line} against {pinned[name]}"


def test_tools_list_what_pyproject_asks_for():
    """What tools/requirements.py installs for the tests covers every dependency and the test group."""
    done = run("tools/requirements.py", "test")
    assert done.returncode == 0, done.stderr
    listed = set(done.stdout.split("\n"))
    project = PYPROJECT["project"]
    wanted = {*project["dependencies"], *PYPROJECT["dependency-groups"]["test"]}
    wanted |= {line for extra in project["optional-dependencies"].values() for line in extra}
    assert wanted <= listed
    assert run("tools/requirements.py", "demo").stdout.count("\n") < done.stdout.count("\n")
    assert run("tools/requirements.py").returncode == 1


def test_help_loads_nothing_heavy():
    """`sunfleck --help` loads no numpy, numba, scipy, pydantic or matplotlib: it answers at once."""
    done = run("-X", "importtime", "-m", "sunfleck", "--help")
    assert done.returncode == 0, done.stderr[-2000:]
    assert "check" in done.stdout
    loaded = {
        line.rsplit("|", 1)[-1].strip().split(".")[0] for line in done.stderr.splitlines() if "|" in line
    }
    assert "sunfleck" in loaded, "the list of imports was not read"
    assert loaded & {"numpy", "numba", "scipy", "pydantic", "matplotlib"} == set()


def test_decisions_are_listed():
    """Every decision record stands in the list, and says what was rejected and what follows."""
    folder = ROOT / "docs" / "decisions"
    listed = (folder / "README.md").read_text(encoding="utf-8")
    records = sorted(folder.glob("[0-9]*.md"))
    assert [int(path.name[:4]) for path in records] == list(range(1, len(records) + 1))
    for path in records:
        text = path.read_text(encoding="utf-8")
        assert path.name in listed
        for part in ("**Context.**", "**Decision.**", "**Rejected.**", "**Consequences.**"):
            assert part in text, f"{path.name} lacks {part}"
