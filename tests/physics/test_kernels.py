"""Where compiled code is kept, and that kernel files stand alone."""

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
    assert kernels.cache_folder() == Path("elsewhere")


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
def test_a_kernel_calls_only_kernels_of_its_own_file(path):
    """Numba watches one file for changes: a kernel from another file would go stale unnoticed."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    others = {p.stem for p in KERNEL_FILES} - {path.stem}
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module:
            assert node.module.rsplit(".", 1)[-1] not in others
    for function in (n for n in tree.body if isinstance(n, ast.FunctionDef)):
        decorators = {d.id for d in function.decorator_list if isinstance(d, ast.Name)}
        called = {
            n.func.id for n in ast.walk(function) if isinstance(n, ast.Call) and isinstance(n.func, ast.Name)
        }
        if "kernel" in decorators:
            own = {n.name for n in tree.body if isinstance(n, ast.FunctionDef)}
            assert {name for name in called if name.startswith("_")} <= own
