"""The list of dependencies and the bill of materials say what the lock says."""

from __future__ import annotations

import hashlib
import json
import re

from tests.dependency_pages import BILL, CARRIED, LOCK, PAGE, lock_rows

from forkwright.sheets.files import PLOTTING_SCRIPT

HINT = "run `python -m tests.dependency_pages`"


def test_both_lists_hold_every_package_of_the_lock() -> None:
    """Same names, same versions, none more; and the lock is read whole."""
    wanted = sorted((name, version) for name, version, _ in lock_rows())
    assert len(wanted) == len(re.findall(r"^[a-zA-Z0-9]", LOCK.read_text("utf-8"), re.M))
    rows = re.findall(r"^\| ([\w.-]+) \| (\S+)", PAGE.read_text("utf-8"), re.M)
    assert sorted(row for row in rows if row[0] != "package") == wanted, HINT
    parts = json.loads(BILL.read_text("utf-8"))["components"]
    installed = [part for part in parts if part["purl"].startswith("pkg:pypi/")]
    assert sorted((part["name"], part["version"]) for part in installed) == wanted, HINT
    assert [part["name"] for part in parts if part not in installed] == [CARRIED["name"]]


def test_the_script_carried_along_is_the_one_that_is_named() -> None:
    """Its own first lines give name, version and licence; its licence and fingerprint are kept."""
    head = PLOTTING_SCRIPT.read_text("utf-8")[:300]
    assert f"plotly.js (cartesian - minified) v{CARRIED['version']}" in head
    assert f"Licensed under the {CARRIED['licence']} license" in head
    assert "without restriction" in PLOTTING_SCRIPT.with_name("plotly-cartesian.LICENSE").read_text("utf-8")
    assert CARRIED["name"] in PAGE.read_text("utf-8"), HINT
    (part,) = [p for p in json.loads(BILL.read_text("utf-8"))["components"] if p["name"] == CARRIED["name"]]
    assert part["hashes"][0]["content"] == hashlib.sha256(PLOTTING_SCRIPT.read_bytes()).hexdigest(), HINT


def test_every_package_states_its_licence() -> None:
    """A package without a licence could not be passed on."""
    rows = re.findall(r"^\| ([\w.-]+) \| [^|]+ \| ([^|]+) \|", PAGE.read_text("utf-8"), re.M)
    assert len(rows) > len(lock_rows())  # the heading is a row too
    assert [name for name, licence in rows if licence in ("", "not stated", "UNKNOWN")] == []


def test_the_bill_is_closed() -> None:
    """Every reference in it points at one of its components, each of which is named once."""
    bill = json.loads(BILL.read_text("utf-8"))
    names = [part["bom-ref"] for part in bill["components"]]
    assert len(names) == len(set(names))
    known = {*names, "forkwright"}
    assert {entry["ref"] for entry in bill["dependencies"]} == known
    assert {need for entry in bill["dependencies"] for need in entry["dependsOn"]} <= known


def test_no_address_is_recorded() -> None:
    """Neither file says from where on which machine anything was fetched."""
    for path in (PAGE, BILL):
        text = path.read_text("utf-8")
        assert "://" not in text
        assert not re.search(r"\b[a-z]+\.(org|com)\b", text)
        assert "index" not in text.replace("indexed", "")
