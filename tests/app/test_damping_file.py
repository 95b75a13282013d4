"""A damping table on the pages that ride: that of `--damping`, refused before the wait where it is none."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from tests.app.test_options_api import COURSE, HEADERS, ONE

from forkwright.app.tuning.ride_fields import LARGEST_DAMPING, DampingFile, RideFields, ride_options
from forkwright.commands.ride_options import damping_from

CSV = "speed_m_s,force_N\n-2,-900\n0,0\n2,1200\n"


def test_the_fields_give_the_commands_table(tmp_path: Path) -> None:
    """The same speeds and forces, and none where no table is given."""
    (tmp_path / "damping.csv").write_text(CSV, encoding="utf-8")
    expected = damping_from(str(tmp_path / "damping.csv"))
    found = ride_options(RideFields(damping=DampingFile(name="damping.csv", csv=CSV))).damping
    assert found is not None
    np.testing.assert_array_equal(found.speed, expected.speed)
    np.testing.assert_array_equal(found.force, expected.force)
    assert ride_options(RideFields()).damping is None


@pytest.mark.parametrize("path", ["recommend", "stages"])
@pytest.mark.parametrize(
    ("csv", "words"),
    [
        (CSV.replace("1200", "a"), "soft.csv, line 4: not a pair of numbers"),
        (CSV.replace("-2,-900\n", ""), "soft.csv: a damping table must reach to both sides of zero speed"),
        (CSV + "#" * LARGEST_DAMPING, "damping.csv"),
    ],
    ids=["no number", "one side", "too long"],
)
def test_a_wrong_table_is_said_before_the_wait(client: Any, path: str, csv: str, words: str) -> None:
    """File and line, as the command says them."""
    over = {"courses": [COURSE]} if path == "recommend" else {"race": [{"name": "one", "course": COURSE}]}
    question = ONE | over | {"damping": {"name": "soft.csv", "csv": csv}}
    reply = client.post(f"/api/{path}", json=question, headers=HEADERS)
    assert reply.status_code == 422
    assert words in reply.json()["error"]
