"""Docstrings of the formulas are a contract: parameters, units, source and examples are held to the code.

What is asked of every public function of `physics`, and of every one of `bench` that another room calls:

* each parameter of the signature stands in the section Parameters, in the same order, and no other does;
* a parameter that is a number carries its unit, or a word that says that it has none;
* what comes back is described;
* a function of `physics`, and one of `bench` that multiplies, divides or raises, says where that comes from.

The examples of all rooms are run as they stand.
"""

from __future__ import annotations

import ast
import doctest
import importlib
import inspect
import pkgutil
import re
from collections.abc import Iterator
from pathlib import Path
from types import FunctionType, ModuleType

import pytest

import forkwright

PACKAGE = Path(forkwright.__file__).parent
NUMBERS = re.compile(r"\b(float|Value|Array|Floats|NDArray|Scalar)\b")
UNIT = re.compile(
    r"(?<![\w.])(m|mm|um|m/s|m/s2|m2|m3|m4|m3/s|N|N/m|N s/m|N m|N m2|Pa|MPa|Pa s|Pa/m|K|s|Hz|kg|kg/m3|J|W|"
    r"rad|m2/s|cSt|ml|1/K|1/Pa|1/s|1/m|cycle/m|kPa|V/m|J/K|W/K|mol)(?![\w])|"
    r"(?i:\b(shares?|ratio|factor|coefficient|exponent|index|number|count|turns|"
    r"dimensionless|no unit|same unit|any unit|per|SI)\b)",
)
SOURCE = re.compile(r"\bSource\b|\bNotes\n|\bReferences\n|derived|common practice|definition", re.IGNORECASE)


def modules(room: str) -> Iterator[ModuleType]:
    package = importlib.import_module(f"forkwright.{room}")
    for found in pkgutil.iter_modules(package.__path__):
        yield importlib.import_module(f"forkwright.{room}.{found.name}")


def called_from_elsewhere(room: str) -> set[str]:
    """Return the names that other rooms import from a room, the Python face included."""
    names = set(
        re.findall(rf'"forkwright\.{room}[\w.]*", "(\w+)"', (PACKAGE / "__init__.py").read_text("utf-8"))
    )
    for path in PACKAGE.rglob("*.py"):
        if path.relative_to(PACKAGE).parts[0] == room:
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and f"{node.module}.".startswith(f"forkwright.{room}."):
                names.update(alias.name for alias in node.names)
    return names


def public_functions(room: str) -> Iterator[tuple[str, FunctionType]]:
    for module in modules(room):
        for name, thing in vars(module).items():
            function = getattr(thing, "py_func", thing)
            if (
                isinstance(function, FunctionType)
                and not name.startswith("_")
                and function.__module__ == module.__name__
            ):
                yield f"{room}.{module.__name__.rpartition('.')[2]}.{name}", function


CALLED_IN_BENCH = called_from_elsewhere("bench")
FUNCTIONS = {
    name: function
    for room in ("physics", "bench")
    for name, function in public_functions(room)
    if room == "physics" or function.__name__ in CALLED_IN_BENCH
}


def section(text: str, title: str) -> str | None:
    """Return the body of one numpydoc section, or None."""
    found = re.search(rf"^{title}\n-+\n(.*?)(?=^\w[^\n]*\n-+\n|\Z)", text, re.MULTILINE | re.DOTALL)
    return found[1] if found else None


def first_of_each_line(parameters: str) -> dict[str, None]:
    """Return the first name of every line: names that share a line may stand apart in the call."""
    return dict.fromkeys(re.findall(r"^\*{0,2}(\w+)", parameters, re.MULTILINE))


def described(parameters: str) -> dict[str, tuple[str, str]]:
    """Return name -> (type, words) of a Parameters section; names that share a line share their words."""
    rows: dict[str, tuple[str, str]] = {}
    for block in re.split(r"\n(?=\S)", parameters.strip("\n")):
        head, _, words = block.partition("\n")
        names, _, kind = head.partition(" : ")
        for name in names.split(","):
            rows[name.strip().lstrip("*")] = (kind, words)
    return rows


def computes(function: FunctionType) -> bool:
    """Say whether a function multiplies, divides or raises."""
    tree = ast.parse(inspect.cleandoc("\n" + inspect.getsource(function)))
    arithmetic = (ast.Mult, ast.Div, ast.Pow, ast.MatMult)
    return any(isinstance(node, ast.BinOp) and isinstance(node.op, arithmetic) for node in ast.walk(tree))


def faults(name: str, function: FunctionType) -> list[str]:
    """Return what a docstring lacks."""
    text = inspect.getdoc(function) or ""
    signature = inspect.signature(function)
    if not text:
        return ["no docstring"]
    found: list[str] = []
    body = section(text, "Parameters")
    rows = described(body) if body else {}
    leading = list(first_of_each_line(body)) if body else []
    in_order = leading == [name for name in signature.parameters if name in leading]
    if set(rows) != set(signature.parameters) or not in_order:
        found.append(f"Parameters are {list(rows)}, the signature has {list(signature.parameters)}")
    for parameter in signature.parameters.values():
        kind, words = rows.get(parameter.name, ("", ""))
        annotated = str(parameter.annotation)
        said = UNIT.search(f"{kind} {words}") or re.search(r"\bAs (in|for) `|:func:", words)
        if NUMBERS.search(annotated) and "Callable" not in annotated and not said:
            found.append(f"{parameter.name} has no unit")
    if signature.return_annotation not in ("None", None) and section(text, "Returns") is None:
        found.append("no section Returns")
    if (name.startswith("physics") or computes(function)) and not SOURCE.search(text):
        found.append("no source")
    return found


@pytest.mark.parametrize("name", sorted(FUNCTIONS))
def test_docstring_agrees_with_the_code(name: str) -> None:
    """Parameters, units, what comes back and the source stand in the docstring."""
    assert faults(name, FUNCTIONS[name]) == []


def test_a_poor_docstring_is_found() -> None:
    """The walk itself is no rubber stamp: each thing left out is told."""

    def poor(mass: float, pressure: float) -> float:
        """Return something.

        Parameters
        ----------
        mass : float
            Mass, kg.
        presure : float
            The pressure.
        """
        return mass * pressure

    poor.__annotations__ = dict.fromkeys(("mass", "pressure", "return"), "float")
    told = " ".join(faults("bench.poor", poor))
    for words in ("presure", "pressure has no unit", "no section Returns", "no source"):
        assert words in told


def modules_with_examples() -> list[str]:
    files = sorted(PACKAGE.rglob("*.py"))
    return [
        ".".join(("forkwright", *path.relative_to(PACKAGE).with_suffix("").parts)).removesuffix(".__init__")
        for path in files
        if ">>> " in path.read_text(encoding="utf-8")
    ]


# These compare whole units, fit curves or ride: their examples take seconds.
LONG = (
    "forkwright.tune.compare",
    "forkwright.evidence.fitting",
    "forkwright.bench.rear_spring",
    "forkwright.ride.simulate",
)


@pytest.mark.parametrize(
    "name", [pytest.param(n, marks=pytest.mark.slow if n in LONG else ()) for n in modules_with_examples()]
)
def test_examples_run_as_printed(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every example in a docstring gives what it shows, whatever folder it is run in."""
    monkeypatch.chdir(tmp_path)
    result = doctest.testmod(importlib.import_module(name), optionflags=doctest.NORMALIZE_WHITESPACE)
    assert result.attempted > 0
    assert result.failed == 0
