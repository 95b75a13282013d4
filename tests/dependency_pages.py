"""Write docs/dependencies.md and docs/sbom.json from the lock file: ``python -m tests.dependency_pages``.

The lock says which packages in which versions; the packages as installed here say under which licence and
what they need in turn, so it is to be run where all of them are installed (Python 3.11). The bill of
materials follows CycloneDX 1.6 (ECMA-424). Both files depend on nothing else, so that they repeat.
"""

from __future__ import annotations

import hashlib
import importlib.metadata
import json
import re
import uuid
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from forkwright.sheets.files import PLOTTING_SCRIPT

ROOT = Path(__file__).parents[1]
LOCK = ROOT / "requirements.lock"
PAGE, BILL = ROOT / "docs" / "dependencies.md", ROOT / "docs" / "sbom.json"
# The one script of others that lies in this tree; a test holds these words against the script's own.
CARRIED = {"name": "plotly.js-cartesian-dist-min", "version": "4.1.1", "licence": "MIT"}
# What classifiers and short fields say, as SPDX identifiers where one text can be meant.
SPDX = {
    "MIT License": "MIT",
    "Apache Software License": "Apache-2.0",
    "Mozilla Public License 2.0 (MPL 2.0)": "MPL-2.0",
}


@dataclass(frozen=True)
class Package:
    """One line of the lock, with what the installed package says of itself."""

    name: str
    version: str
    marker: str
    licence: str
    summary: str
    needs: tuple[str, ...]
    use: str  # "running" or "building"


def main() -> None:
    """Write both files."""
    packages = locked()
    PAGE.write_text(page(packages), encoding="utf-8")
    BILL.write_text(json.dumps(bill(packages), indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    print(f"{PAGE.name}, {BILL.name}: {len(packages)} packages")


def locked() -> list[Package]:
    """Return the packages of the lock in its order."""
    rows = lock_rows()
    running = _reached("forkwright", {name for name, _, _ in rows})
    return [_package(name, version, marker.strip(), running) for name, version, marker in rows]


def lock_rows() -> list[tuple[str, str, str]]:
    """Return name, version and marker of every line of the lock."""
    text = LOCK.read_text(encoding="utf-8")
    return re.findall(r"^([\w.-]+)(?:\[[^\]]*\])?==(\S+?)(?: ; ([^\\\n]*))? *\\?$", text, re.M)


def _package(name: str, version: str, marker: str, running: set[str]) -> Package:
    said = importlib.metadata.metadata(name)
    return Package(
        name, version, marker, _licence(said), _summary(said), tuple(sorted(_needs(name))),
        "running" if name in running else "building",
    )  # fmt: skip


def _summary(said: importlib.metadata.PackageMetadata) -> str:
    """What the package says it is, without the host that its classifiers or sources lie on."""
    return re.sub(r" \([\w-]+\.[\w.-]+\)", "", said.get("Summary") or "")


def _licence(said: importlib.metadata.PackageMetadata) -> str:
    if expression := said.get("License-Expression"):
        return str(expression)
    classifiers = [
        c.rpartition(" :: ")[2] for c in said.get_all("Classifier") or [] if c.startswith("License")
    ]
    short = (said.get("License") or "").split("\n")[0]
    named = " and ".join(classifiers) or short or "not stated"
    return SPDX.get(named, short if classifiers and re.fullmatch(r"[\w.-]+", short) else named)


def _needs(name: str, extras: frozenset[str] = frozenset()) -> set[str]:
    """Return the names that an installed package asks for on this machine."""
    found = set()
    for line in importlib.metadata.requires(name) or []:
        asked = Requirement(line)
        if asked.marker is None or any(asked.marker.evaluate({"extra": extra}) for extra in {"", *extras}):
            found.add(canonicalize_name(asked.name))
            for extra in asked.extras:
                found |= _needs_of_extra(asked.name, extra)
    return found


def _needs_of_extra(name: str, extra: str) -> set[str]:
    return _needs(name, frozenset({extra})) - _needs(name)


def _reached(start: str, known: set[str]) -> set[str]:
    """Return what can be reached from a package's needs, within the lock."""
    reached, left = set(), _needs(start)
    while left:
        name = left.pop()
        if name in known and name not in reached:
            reached.add(name)
            left |= _needs(name)
    return reached


def page(packages: list[Package]) -> str:
    """Return the list for people."""
    rows = "\n".join(
        f"| {p.name} | {f'{p.version} ({p.marker.strip()})' if p.marker else p.version} | {p.licence} "
        f"| {p.use} | {p.summary} |"
        for p in packages
    )
    return f"""# Dependencies and their licences

Written by `python -m tests.dependency_pages` from `requirements.lock` and from what each package says of
itself. The same as a bill of materials for machines: [sbom.json](sbom.json) (CycloneDX 1.6).

forkwright itself is under the MIT licence; `pip` installs the packages below beside it. One script of others
lies in its own tree, as published, and draws the charts of pages and reports:
{CARRIED["name"]} {CARRIED["version"]} ({CARRIED["licence"]}).
Two kinds of package ask for care when they are passed on in one bundle: LGPL (`psycopg`, used only with a
PostgreSQL store) and OFL (`weblate-fonts`, whose type is set in printed sheets).

| package | version | licence | needed for | what it is |
|---|---|---|---|---|
{rows}
"""


def bill(packages: list[Package]) -> dict[str, Any]:
    """Return the bill of materials."""
    own = importlib.metadata.version("forkwright")
    known = {p.name: _reference(p) for p in packages}
    needed = sorted(known[name] for name in _needs("forkwright") if name in known)
    return {
        "bomFormat": "CycloneDX",
        "specVersion": "1.6",
        "serialNumber": f"urn:uuid:{uuid.uuid5(uuid.NAMESPACE_OID, LOCK.read_text(encoding='utf-8'))}",
        "version": 1,
        "metadata": {
            "component": {
                "type": "application", "bom-ref": "forkwright", "name": "forkwright", "version": own,
                "licenses": [{"license": {"id": "MIT"}}],
            }
        },
        "components": [_carried(), *(_component(p) for p in packages)],
        "dependencies": [
            {"ref": "forkwright", "dependsOn": [_carried()["bom-ref"], *needed]},
            {"ref": _carried()["bom-ref"], "dependsOn": []},
            *(
                {"ref": _reference(p), "dependsOn": sorted(known[n] for n in p.needs if n in known)}
                for p in packages
            ),
        ],
    }  # fmt: skip


def _component(package: Package) -> dict[str, Any]:
    said: dict[str, Any]
    if re.search(r" (AND|OR|WITH) ", package.licence):
        said = {"expression": package.licence}
    elif re.fullmatch(r"[A-Z][\w.]*-[\w.-]+|MIT|Zlib|0BSD", package.licence):
        said = {"license": {"id": package.licence}}
    else:
        said = {"license": {"name": package.licence}}
    entry = {
        "type": "library", "bom-ref": _reference(package), "name": package.name, "version": package.version,
        "description": package.summary, "scope": "required" if package.use == "running" else "excluded",
        "purl": f"pkg:pypi/{package.name}@{package.version}", "licenses": [said],
    }  # fmt: skip
    if package.marker:
        entry["properties"] = [{"name": "forkwright:installed-where", "value": package.marker}]
    return entry


def _carried() -> dict[str, Any]:
    name, version = CARRIED["name"], CARRIED["version"]
    return {
        "type": "library", "bom-ref": f"{name}@{version}", "name": name, "version": version,
        "description": "Charts of pages and reports; the published script lies in forkwright/sheets/assets",
        "scope": "required", "purl": f"pkg:npm/{name}@{version}",
        "licenses": [{"license": {"id": CARRIED["licence"]}}],
        "hashes": [{"alg": "SHA-256", "content": hashlib.sha256(PLOTTING_SCRIPT.read_bytes()).hexdigest()}],
    }  # fmt: skip


def _reference(package: Package) -> str:
    return f"{package.name}@{package.version}"


if __name__ == "__main__":
    main()
