"""Write docs/validation.md from the test run itself: `python -m tests.validation_page`.

The outside tests are run with a ledger; every published number that a test asserts becomes one row. Nothing
is written when a test fails.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[1]
PAGE = ROOT / "docs" / "validation.md"
HEAD = """# Validation

Written by `make validate` from the test run itself: each row is a number that a test asserts against a
source outside the project, with ours beside it. "From memory" in a source means that it could not be seen
when the test was written; "derived" means that it follows from a closed form.

## What has not been validated
- **No measured fork, shock or damper has been compared.** The demonstration units, riders, courses and logs
  are invented. Papers with damper measurements are known, but their tables could not be seen, so no value of
  theirs is used.
- Open assumptions stand in `theory.md`, `damper.md`, `evidence.md` and the other pages, under a heading of
  their own.

"""


def rows() -> list[dict[str, object]]:
    """Run the tests that compare with the outside and return the rows of their ledger.

    Raises
    ------
    SystemExit
        If a test fails: a page about failing checks is not written.
    """
    with tempfile.TemporaryDirectory() as folder:
        done = subprocess.run(
            [
                sys.executable,
                "-m",
                "pytest",
                "-n",
                "2",
                "-q",
                "-m",
                "not slow",
                "tests/outside",
                "tests/unit",
            ],
            cwd=ROOT,
            env=os.environ | {"FORKWRIGHT_CHECK_LEDGER": folder},
            check=False,
        )
        if done.returncode != 0:
            raise SystemExit("a test failed: the validation page is left as it was")
        found = []
        for ledger in sorted(Path(folder).glob("rows-*.jsonl")):
            found += [json.loads(line) for line in ledger.read_text("utf-8").splitlines()]
    return found


def page(found: list[dict[str, object]]) -> str:
    """Return the page, one table per test file, rows in a fixed order."""
    files: dict[str, dict[str, str]] = {}
    for row in found:
        file = str(row["test"]).split("::")[0]
        files.setdefault(file, {})[f"{row['formula']}|{row['source']}"] = _line(row)
    parts = [HEAD, f"{sum(len(lines) for lines in files.values())} numbers from {len(files)} files.\n"]
    for file in sorted(files):
        parts.append(f"\n## {file.removeprefix('tests/')}\n")
        parts.append(
            "| formula | source | source gives | ours | difference | allowed |\n|---|---|---|---|---|---|\n"
        )
        parts += [files[file][key] for key in sorted(files[file])]
    return "".join(parts)


def _line(row: dict[str, object]) -> str:
    unit = f" {row['unit']}" if row["unit"] else ""
    numbers = [f"{float(str(row[name])):.6g}{unit}" for name in ("expected", "got")]
    spread = [f"{float(str(row[name])):.2g}" for name in ("difference", "allowed")]
    words = [str(row[name]).replace("|", "\\|") for name in ("formula", "source")]
    return f"| {' | '.join((*words, *numbers, *spread))} |\n"


if __name__ == "__main__":
    PAGE.write_text(page(rows()), "utf-8")
    print(PAGE)
