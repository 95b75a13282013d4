"""Write docs/validation.md from a run of the tests: ``python -m tests.validation_page`` (make validate).

Every test that uses the fixture `check` is run, the slow ones too; each row that it records is printed with
its source, the published number, ours, the difference and what is allowed. Nothing on the page is typed by
hand but the words around the tables.
"""

from __future__ import annotations

import ast
import json
import os
import re
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[1]
PAGE = ROOT / "docs" / "validation.md"
ROOMS = (
    "units",
    "physics",
    "hardware",
    "bench",
    "ride",
    "evidence",
    "tune",
    "trial",
    "shop",
    "sheets",
    "app",
    "commands",
)
NEGLIGIBLE = 1e-8  # of the published number: differences below it depend on the machine

INTRODUCTION = """Written by `make validate` from a run of the tests; do not edit it by hand.

{count} numbers are compared below with something outside this project: a standard, a handbook, a certified
data set, a general reference library, or a closed form worked out apart from the code. Each row names its
source. *Allowed* is what the test lets pass, usually half a unit of the last printed digit of the source.
≈ 0 stands for less than {negligible:g} of the published number."""
NOT_COMPARED = """- **No measured damper has been compared.** Open papers with bench measurements exist
  (Schickhofer, arXiv 2208.06343 and 2312.17175; Xu, Chu & Ma, *Advances in Mechanical Engineering* 10(2),
  2018), but their tables could not be seen, and none was made up.
- **No measured fork, shock or ride has been compared.** The demonstration forks, riders, courses and logs are
  invented."""
NOT_IN_SIGHT = """These were written down from memory when the test was made. Where a row says *derived*, the
number was worked out by hand or by another method, not looked up.
"""
HEAD = """| what | source | published | ours | difference | allowed | unit |
|---|---|---|---|---|---|---|
"""


@dataclass(frozen=True)
class Check:
    """One call of the fixture in a test: a pattern that the formulas which it records match."""

    file: Path
    test: str
    formula: re.Pattern[str]


def main() -> int:
    """Run the checks, write the page; return pytest's status. A failed check leaves the page as it was."""
    with tempfile.TemporaryDirectory() as folder:
        status = run(Path(folder))
        rows = [
            json.loads(line)
            for path in sorted(Path(folder).glob("*.jsonl"))
            for line in path.read_text(encoding="utf-8").splitlines()
        ]
    if status != 0:
        print("a check failed: docs/validation.md is left as it was")
        return status
    PAGE.write_text(page(rows), encoding="utf-8")
    print(f"{PAGE.relative_to(ROOT)}: {len(rows)} numbers compared")
    return 0


def run(ledger: Path) -> int:
    """Run every test that uses the fixture, in one process and one order."""
    tests = sorted({f"{c.file.relative_to(ROOT)}::{c.test}" for c in checks()})
    command = [sys.executable, "-m", "pytest", "-m", "slow or not slow", *tests]
    environment = {**os.environ, "FORKWRIGHT_CHECK_LEDGER": str(ledger)}
    return subprocess.run(command, cwd=ROOT, env=environment, check=False).returncode


def checks() -> Iterator[Check]:
    """Find every call of the fixture in the tests, without running anything."""
    for path in sorted((ROOT / "tests").rglob("test_*.py")):
        for function in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(function, ast.FunctionDef) or not function.name.startswith("test_"):
                continue
            for call in ast.walk(function):
                if isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and call.func.id == "check":
                    formula = next(k.value for k in call.keywords if k.arg == "formula")
                    yield Check(path, function.name, re.compile(_pattern(formula), re.DOTALL))


def _pattern(node: ast.expr) -> str:
    """Turn an expression that makes a text into a pattern: what is known stays, the rest may be anything."""
    if isinstance(node, ast.Constant):
        return re.escape(str(node.value))
    if isinstance(node, ast.JoinedStr):
        return "".join(_pattern(part) for part in node.values)
    return ".+?"


def page(rows: list[dict[str, object]]) -> str:
    """Return the whole page."""
    seen = "\n".join(_seen(rows))
    parts = [
        "# Validation",
        INTRODUCTION.format(count=len(rows), negligible=NEGLIGIBLE),
        "## What has not been compared\n" + NOT_COMPARED,
        "## Sources that were not in sight\n" + NOT_IN_SIGHT + "\n" + seen,
        "## Open assumptions\n" + "\n".join(_assumption_lines()),
        *_tables(rows),
    ]
    return "\n\n".join(part.strip() for part in parts) + "\n"


def _seen(rows: list[dict[str, object]]) -> Iterator[str]:
    marked = {re.sub(r", [ab]/[ab] = .*$", "", str(row["source"])) for row in rows}
    yield from (
        f"- {_cell(source)}" for source in sorted(marked) if "memory" in source or "derived" in source
    )


def assumptions() -> dict[str, list[str]]:
    """Return document -> its open assumptions: the points under each heading that speaks of assuming."""
    found: dict[str, list[str]] = {}
    for path in sorted((ROOT / "docs").glob("*.md")):
        if path == PAGE:
            continue
        text = path.read_text(encoding="utf-8")
        for section in re.finditer(r"^##+ [^\n]*assum[^\n]*\n(.*?)(?=^##|\Z)", text, re.M | re.S | re.I):
            points = re.findall(r"^- (.*?)(?=^- |\n\n|\Z)", section[1], re.M | re.S)
            found.setdefault(path.name, []).extend(" ".join(point.split()) for point in points)
    return found


def _assumption_lines() -> Iterator[str]:
    for document, points in assumptions().items():
        yield f"\nFrom [{document}]({document}):"
        yield from (f"- {point}" for point in points)


def _tables(rows: list[dict[str, object]]) -> Iterator[str]:
    by_room: dict[str, dict[Path, list[dict[str, object]]]] = {}
    for row in rows:
        path = ROOT / str(row["test"]).partition("::")[0]
        by_room.setdefault(room_of(path), {}).setdefault(path, []).append(row)
    for room in sorted(by_room, key=ROOMS.index):
        yield f"## {room}"
        for path, found in by_room[room].items():
            title = (ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or path.stem).split("\n")[
                0
            ]
            table = "\n".join(_row(row) for row in found)
            yield (f"### {title.rstrip('.')}\n`{path.relative_to(ROOT).as_posix()}`\n\n{HEAD}{table}")


def room_of(path: Path) -> str:
    """Return the room that a test file is about: the one in its name, else the lowest that it imports."""
    named = path.stem.split("_")[1]
    if named in ROOMS:
        return named
    text = path.read_text(encoding="utf-8")
    imported = set(re.findall(r"from forkwright\.(\w+)", text)) - {"units", "hardware"}
    return min((room for room in imported if room in ROOMS), key=ROOMS.index, default="commands")


def _row(row: dict[str, object]) -> str:
    expected, got, difference, allowed = (
        float(str(row[key])) for key in ("expected", "got", "difference", "allowed")
    )
    small = difference == 0.0 or (abs(difference) < NEGLIGIBLE * abs(expected) and abs(difference) <= allowed)
    cells = [
        _cell(str(row["formula"])),
        _cell(str(row["source"])),
        f"{expected:.7g}",
        f"{got:.7g}",
        "≈ 0" if small else f"{difference:+.1e}",
        f"{allowed:.1e}" if allowed else "0",
        _cell(str(row["unit"])) or "–",
    ]
    return f"| {' | '.join(cells)} |"


def _cell(text: str) -> str:
    return text.replace("|", "\\|").replace("*", "\\*").replace("\n", " ")


if __name__ == "__main__":
    sys.exit(main())
