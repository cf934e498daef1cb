"""Docstrings are a contract: every argument says its unit, every formula its source."""

import importlib
import inspect
import pkgutil
import re

import pytest

import sunfleck.geometry
import sunfleck.physics

UNITS = {
    "-", "m", "m2", "m3", "m-2", "kg", "s", "rad", "deg", "nm", "sr-1", "W", "W m-2", "W sr-1", "W sr-1 m-1",
    "W m-2 nm-1", "m-1", "lx", "umol J-1", "umol m-2 s-1", "mol m-2", "cd", "lm",
    "K", "Pa", "Pa s", "J K-1", "J kg-1", "J kg-1 K-1", "J m-2 K-1", "W K-1", "W m-1 K-1", "W m-2 K-1", "m2 K W-1", "kg m-3",
    "m s-1", "m2 s-1", "m3 s-1", "m4 s-3", "J m-2", "h", "h-1",
}  # fmt: skip
# Functions that move data about and hold no formula: no source is asked of them.
MECHANICS = {"transfer", "gather", "in_chunks", "tree_of", "canopies_of", "film_row", "resting_state"}


def public():
    """Every public function of physics and geometry that carries a Parameters section or should."""
    for package in (sunfleck.physics, sunfleck.geometry):
        for entry in pkgutil.walk_packages(package.__path__, package.__name__ + "."):
            module = importlib.import_module(entry.name)
            if entry.name.endswith(("_kernel", ".kernels")):
                continue  # compiled code: called by documented functions only
            for name, member in inspect.getmembers(module, inspect.isfunction):
                if member.__module__ == entry.name and not name.startswith("_"):
                    yield pytest.param(member, id=f"{entry.name.removeprefix('sunfleck.')}.{name}")


PUBLIC = list(public())
OF_PHYSICS = [p for p in PUBLIC if p.id.startswith("physics.")]


def section(doc, title):
    found = re.search(rf"^{title}\n-+\n(.*?)(?=\n\w[\w ]*\n-+\n|\Z)", doc, re.S | re.M)
    return found.group(1) if found else ""


def entries(text):
    """Name or names to description; `a, b : float` documents both."""
    found = re.findall(r"^([\w, ]+) : (.*?)(?=^[\w, ]+ : |\Z)", text, re.S | re.M)
    return {name.strip(): body for names, body in found for name in names.split(",")}


@pytest.mark.parametrize("function", PUBLIC)
def test_documented_arguments_are_the_real_ones(function):
    """Same names, same order as the signature: a renamed argument cannot leave a stale line."""
    documented = entries(section(inspect.getdoc(function), "Parameters"))
    if not documented and {p.annotation for p in inspect.signature(function).parameters.values()} == {"str"}:
        return  # a name goes in and no number: one line says it all
    assert list(documented) == list(inspect.signature(function).parameters)


@pytest.mark.parametrize("function", OF_PHYSICS)
def test_every_number_carries_a_known_unit(function):
    """The last [bracket] of each argument and result is a unit from the list above."""
    doc = inspect.getdoc(function)
    texts = entries(section(doc, "Parameters")) | entries(section(doc, "Returns"))
    assert texts
    for name, text in texts.items():
        brackets = re.findall(r"\[([^\]]*)\]", text)
        assert brackets, f"{name} has no unit"
        assert brackets[-1] in UNITS, f"{name} has [{brackets[-1]}]"


@pytest.mark.parametrize("function", OF_PHYSICS)
def test_every_formula_has_a_source_and_a_worked_example(function):
    """No formula without a place to look it up, none without a line to paste and run."""
    doc = inspect.getdoc(function)
    formula = ".. math::" in doc
    if function.__name__ in MECHANICS:
        assert not formula
        return
    if formula or section(doc, "References"):
        assert section(doc, "References"), "a formula without a source"
        assert ">>>" in section(doc, "Examples"), "a formula without an example"


@pytest.mark.parametrize("function", OF_PHYSICS)
def test_what_is_raised_is_documented(function):
    """A function that raises, itself or through its checks, says when."""
    source = inspect.getsource(function)
    if re.search(
        r"raise DomainError|_check_|_above_zero|_at_least_zero|_spectrum\(|_rays\(|_gather\(", source
    ):
        assert section(inspect.getdoc(function), "Raises")
