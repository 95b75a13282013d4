"""A workbench in a process of its own, and requests by the hundred that its own description makes."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx
import schemathesis
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis.errors import Unsatisfiable
from schemathesis import APIOperation, Case, GenerationMode


@contextmanager
def running_workbench(book: Path | str, *more: str, folder: Path | None = None) -> Iterator[str]:
    """Start `forkwright serve` over a shop's book on any free port; give its address on this machine.

    The server works in `folder`, and leaves its log there: the book's own folder, if none is given.
    """
    place = folder or Path(book).parent
    log = (place / "server.log").open("wb")
    command = [sys.executable, "-m", "forkwright", "serve", "--port", "0", "--store", str(book), *more]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=log, text=True, cwd=place)
    assert process.stdout is not None
    try:
        line = process.stdout.readline()
        found = re.search(r"(https?)://\S+:(\d+)/", line)
        assert found, f"the server said: {line}{(place / 'server.log').read_text()}"
        yield f"{found[1]}://127.0.0.1:{found[2]}"
    finally:
        process.terminate()
        process.communicate(timeout=20)
        log.close()


def ask_everything(address: str, wanted: Callable[[str], bool], examples: int, number: int) -> int:
    """Ask every described call under a path `wanted`, rightly and wrongly, and return how often it was asked.

    Every answer must be no fault of the server's, of a kind that is described, and a refusal in one sentence.
    """
    schema = schemathesis.openapi.from_url(f"{address}/openapi.json")
    calls = [found.ok() for found in schema.get_all_operations()]
    asked = sum(_ask(call, examples, number) for call in calls if wanted(call.path))
    assert httpx.get(f"{address}/api/health", timeout=60.0).json() == {"status": "up"}
    return asked


def _ask(call: APIOperation, examples: int, number: int) -> int:
    """Ask one call rightly, then wrongly; one without a body may have nothing that can be wrong."""
    rightly = _ask_so(call, GenerationMode.POSITIVE, examples, number)
    assert rightly > 0, call.label
    try:
        return rightly + _ask_so(call, GenerationMode.NEGATIVE, examples, number)
    except (Unsatisfiable, schemathesis.errors.SchemathesisError):
        assert not list(call.body), call.label
        return rightly


def _ask_so(call: APIOperation, mode: GenerationMode, examples: int, number: int) -> int:
    asked = 0

    @seed(number)
    @settings(
        max_examples=examples,
        deadline=None,
        database=None,
        phases=(Phase.generate,),
        suppress_health_check=list(HealthCheck),
    )
    @given(case=call.as_strategy(generation_mode=mode))
    def ask(case: Case) -> None:
        nonlocal asked
        asked += 1
        answered = case.call(session=None)
        told = f"{case.as_curl_command()}\n{answered.status_code} {answered.content[:400]!r}"
        assert answered.status_code < 500, told
        assert str(answered.status_code) in (*call.definition.raw["responses"], "400"), told  # 400: no JSON
        if answered.status_code >= 400:
            body = answered.json()
            assert isinstance(body["error"], str), told
            assert body["error"], told

    ask()
    return asked
