"""Where compiled code is kept, and that none of it goes stale unnoticed."""

import ast
from pathlib import Path

import numba
import platformdirs
import pytest

from sunfleck.geometry import kernels

PACKAGE = Path(kernels.__file__).parents[1]
KERNEL_FILES = sorted(
    path for path in PACKAGE.rglob("*.py") if "\n@kernel" in path.read_text(encoding="utf-8")
)


def test_compiled_code_lies_in_the_users_cache(monkeypatch):
    """Not beside the source, which may be read-only; an explicit choice of numba's is respected."""
    monkeypatch.delenv("NUMBA_CACHE_DIR", raising=False)
    assert kernels.cache_folder().is_relative_to(platformdirs.user_cache_path("sunfleck"))
    monkeypatch.setenv("NUMBA_CACHE_DIR", "elsewhere")
    assert kernels.cache_folder().parent == Path("elsewhere")


def test_what_several_kernels_call_names_the_folder(monkeypatch, tmp_path):
    """A change in a shared file leads to another folder, so that nothing compiled with the old one is used."""
    for folder in ("geometry", "physics"):
        (tmp_path / folder).mkdir()
    shared = tmp_path / "physics" / "shared_kernels.py"
    monkeypatch.setattr(kernels, "__file__", str(tmp_path / "geometry" / "kernels.py"))
    names = set()
    for text in ("one", "two", "one"):
        shared.write_text(text, encoding="utf-8")
        names.add(kernels._shared_by_kernels.__wrapped__())
    assert len(names) == 2


def test_other_users_of_numba_keep_their_folder():
    """Declaring a kernel leaves numba's own setting as it was."""
    before = numba.config.CACHE_DIR
    kernels.kernel(lambda x: x + 1)
    assert before == numba.config.CACHE_DIR


def test_without_any_folder_a_kernel_still_compiles(monkeypatch):
    """A machine where nothing can be written compiles in each process instead of failing."""
    original = numba.njit

    def no_cache(*args, cache=False, **options):
        if cache:
            msg = "no locator available"
            raise RuntimeError(msg)
        return original(*args, **options)

    monkeypatch.setattr(numba, "njit", no_cache)
    assert kernels.kernel(lambda x: x * 2.0)(1.5) == 3.0


@pytest.mark.parametrize("path", KERNEL_FILES, ids=lambda p: p.stem)
def test_a_kernel_calls_only_kernels_of_its_own_file_or_of_shared_files(path):
    """Numba watches one file for changes: a kernel from another would go stale unnoticed."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    others = {p.stem for p in KERNEL_FILES if not p.stem.endswith("_kernels")} - {path.stem}
    shared = {"kernel"}
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module:
            stem = node.module.rsplit(".", 1)[-1]
            assert stem not in others
            shared |= {name.name for name in node.names} if stem.endswith("_kernels") else set()
    own = {n.name for n in tree.body if isinstance(n, ast.FunctionDef)}
    for function in (n for n in tree.body if isinstance(n, ast.FunctionDef)):
        decorators = {d.id for d in function.decorator_list if isinstance(d, ast.Name)}
        called = {
            n.func.id for n in ast.walk(function) if isinstance(n, ast.Call) and isinstance(n.func, ast.Name)
        }
        if "kernel" in decorators:
            assert called <= own | shared | PLAIN, path


# What kernels call beside kernels: numba turns these into machine code itself.
PLAIN = {
    *("abs", "bool", "float", "int", "len", "max", "min", "range"),
    *("acos", "atan2", "ceil", "cos", "degrees", "exp", "expm1", "log", "log1p", "sin", "sqrt"),
}
