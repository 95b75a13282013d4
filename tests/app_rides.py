"""What tests of the pages share: demonstration drafts, a ride asked for, jobs seen to their end, commands."""

from __future__ import annotations

import importlib
import json
import time
from pathlib import Path
from typing import Any

from click.testing import CliRunner

from forkwright.app.visitors import COOKIE

DEMO = Path(__file__).parents[1] / "src" / "forkwright" / "demo"
WHO = ("--rider", str(DEMO / "rider.toml"), "--bike", str(DEMO / "bike.toml"))
VISITOR = {"cookie": f"{COOKIE}={'r' * 32}"}

YARD = """
format = 1
kind = "course"
name = "Yard"
length = "30 m"
[[speed]]
at = "0 m"
speed = "6 m/s"
[[roughness]]
from = "2 m"
to = "28 m"
class = "C"
seed = 3
[[event]]
kind = "drop"
at = "12 m"
height = "250 mm"
"""
"""A short course, so that a ride takes moments."""


def draft(name: str = "dunlin-160", **edits: Any) -> dict[str, Any]:
    """Return a demonstration file as a browser sends it."""
    text = (DEMO / f"{name}.toml").read_text(encoding="utf-8")
    return {
        "toml": text,
        "edits": {key.replace("__", "."): value for key, value in edits.items()},
        "name": name,
    }


def question(**more: Any) -> dict[str, Any]:
    """Return a ride of the demonstration fork over the yard."""
    course = {"toml": YARD, "name": "yard.toml"}
    return {"fork": draft(), "rider": draft("rider"), "bike": draft("bike"), "course": course, **more}


def ended(
    client: Any, key: str, seconds: float = 60.0, headers: dict[str, str] | None = None
) -> dict[str, Any]:
    """Return the account of a job once it has ended; `headers` say whose it is."""
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        account: dict[str, Any] = client.get(f"/api/jobs/{key}", headers=headers or VISITOR).json()
        if account["state"] in ("done", "failed", "cancelled"):
            return account
        time.sleep(0.05)
    raise AssertionError(f"the job did not end within {seconds} s: {account}")


def ridden(client: Any, asked: dict[str, Any]) -> dict[str, Any]:
    """Return the answer to a ride, at once or as its job's result."""
    reply = client.post("/api/ride", json=asked, headers=VISITOR)
    assert reply.status_code == 200, reply.text
    found: dict[str, Any] = reply.json()
    if "job" not in found:
        return found
    account = ended(client, found["job"])
    assert account["state"] == "done", account
    result: dict[str, Any] = client.get(f"/api/ride/jobs/{found['job']}", headers=VISITOR).json()
    return result


def command_line(name: str, *arguments: object) -> dict[str, Any]:
    """Run one command of the command line in this process and return its JSON."""
    command = importlib.import_module(f"forkwright.commands.{name}").command
    ran = CliRunner().invoke(command, [*map(str, arguments), "--json"], catch_exceptions=False)
    assert ran.exit_code == 0, ran.output
    found: dict[str, Any] = json.loads(ran.stdout)
    return found
