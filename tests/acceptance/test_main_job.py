"""The main job on the command line: check, spring, sag, compare, and the report."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from tests.command_line import Cli, in_form


@pytest.fixture
def forks(demo_dir: Path) -> list[str]:
    return [str(demo_dir / f"{name}.toml") for name in ("dunlin-160", "plover-160")]


def test_check_says_sound_or_every_fault(cli: Cli, forks: list[str], tmp_path: Path) -> None:
    """A sound file exits 0; a faulty one exits 2 with each fault on its own line of standard error."""
    status, out, _ = cli("check", forks[0])
    assert status == 0
    assert "sound" in out
    broken = tmp_path / "broken.toml"
    text = Path(forks[0]).read_text("utf-8").replace("bore =", "bor =", 1).replace('"160 mm"', '"9 m"')
    broken.write_text(text, "utf-8")
    status, out, err = cli("check", broken)
    assert (status, out) == (2, "")
    assert err.count("\n") >= 2
    assert "did you mean 'bore'?" in err


def test_spring_json_keeps_the_contract(cli: Cli, forks: list[str]) -> None:
    """`spring --json` prints one object with the agreed keys, equal lengths, SI, and nothing else."""
    status, out, err = cli("spring", forks[1], "--json")
    assert (status, err) == (0, "")
    answer = json.loads(out)
    keys = [
        "travel_m",
        "force_N",
        "positive_Pa",
        "negative_Pa",
        "lower_leg_Pa",
        "floating_m",
        "friction_N",
        "rate_N_m",
    ]
    assert {len(answer[key]) for key in keys} == {161}
    assert answer["travel_m"][0] == 0.0
    assert answer["travel_m"][-1] == pytest.approx(0.160)
    assert isinstance(answer["warnings"], list)
    assert answer["positive_Pa"][0] == pytest.approx(120 * 6894.757293 + 101325, rel=1e-9)


def test_spring_options_change_the_setting(cli: Cli, forks: list[str]) -> None:
    """Pressure, spacers, exponent, points, temperatures and altitude act as their names say."""
    base = json.loads(cli("spring", forks[0], "--json")[1])
    more = json.loads(cli("spring", forks[0], "--json", "--pressure", "95 psi", "--spacers", "4")[1])
    assert more["force_N"][-1] > base["force_N"][-1]
    fast = json.loads(cli("spring", forks[0], "--json", "--exponent", "1.4")[1])
    assert fast["positive_Pa"][-1] > base["positive_Pa"][-1]
    assert len(json.loads(cli("spring", forks[0], "--json", "--points", "5")[1])["travel_m"]) == 5
    cold = json.loads(cli("spring", forks[0], "--json", "--fill-temp", "20 °C", "--temp", "-5 °C")[1])
    assert cold["positive_Pa"][0] == pytest.approx(base["positive_Pa"][0] * 268.15 / 293.15, rel=1e-9)
    high = json.loads(cli("spring", forks[0], "--json", "--altitude", "2000 m")[1])
    assert high["positive_Pa"] == pytest.approx(base["positive_Pa"], rel=1e-9)  # sealed at sea level
    assert all(more > less for more, less in zip(high["force_N"], base["force_N"], strict=True))
    firm = json.loads(cli("spring", forks[1], "--json", "--floating", "280 psi")[1])
    assert firm["floating_m"][-1] < json.loads(cli("spring", forks[1], "--json")[1])["floating_m"][-1]


def test_sag_json(cli: Cli, forks: list[str]) -> None:
    """`sag --json` gives a band with its middle."""
    status, out, _ = cli("sag", forks[0], "--load", "333 N", "--json")
    answer = json.loads(out)
    assert status == 0
    assert answer["sag_low_m"] < answer["sag_m"] < answer["sag_high_m"]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["spring", "{fork}", "--pressure", "130 psi"], "over the stated pressure limit"),
        (["spring", "{fork}", "--spacers", "7"], "more spacers than fit"),
        (["spring", "{fork}", "--floating", "100 psi"], "does not have a floating piston"),
        (["spring", "{fork}", "--pressure", "85 mm"], "expected a pressure"),
        (["spring", "{fork}", "--exponent", "9"], "exponent"),
        (["spring", "{fork}", "--exponent", "nan"], "exponent"),
        (["spring", "{fork}", "--altitude", "99 km"], "altitude|unit"),
        (["spring", "{fork}", "--temp", "-400 °C"], "out of range"),
        (["sag", "{fork}", "--load", "-5 N"], "load"),
        (["sag", "{fork}"], "load"),
        (["spring", "nowhere.toml"], "cannot be read"),
        (["compare", "{fork}", "{fork}", "--rider", "nobody.toml"], "cannot be read"),
        (["compare", "{fork}", "{fork}", "--rider", "{fork}"], "no rider"),
        (["nonsense"], "No such command"),
    ],
)
def test_wrong_input_exits_2(cli: Cli, forks: list[str], arguments: list[str], words: str) -> None:
    """Wrong input is one message on standard error, exit status 2, nothing on standard output."""
    status, out, err = cli(*(part.format(fork=forks[0]) for part in arguments))
    assert (status, out) == (2, "")
    assert re.search(words, err)
    assert "Traceback" not in err


def test_compare_tells_what_each_part_does(
    cli: Cli, forks: list[str], demo_dir: Path, tmp_path: Path
) -> None:
    """The main job: bands, sag, steps, nearest setting by the published schema, and a whole report."""
    report = tmp_path / "report.html"
    status, out, _ = cli(
        *("compare", *forks, "--rider", demo_dir / "rider.toml", "--bike", demo_dir / "bike.toml"),
        *("--draws", 1000, "--report", report, "--json"),
    )
    assert status == 0
    answer = in_form("compare", out)
    assert answer["a"]["sag"]["sag_m"] == pytest.approx(answer["b"]["sag"]["sag_m"], abs=0.002)
    band = answer["a"]["spring"]
    assert np.all(np.array(band["force_low_N"]) < np.array(band["force_high_N"]))
    steps = {step["what"]: step for step in answer["a"]["steps"]}
    assert steps["pressure"]["sag_m"] < 0.0
    assert steps["spacer"]["end_force_N"] > 50.0
    nearest = answer["nearest"]
    assert nearest["rms_N"] < np.sqrt(np.mean(np.square(answer["difference"]["force_N"])))
    page = re.sub(r"<script.*?</script>", "", report.read_text("utf-8"), flags=re.DOTALL)
    assert "Dunlin 160" in page
    assert "Demo rider" in page  # by name, not by where the file lies
    assert "rider.toml" not in page
    assert 'src="http' not in page
    assert 'href="http' not in page


def test_compare_without_a_bike_names_what_it_assumes(cli: Cli, forks: list[str]) -> None:
    """A mass as rider and no bike works, and the assumption is said."""
    status, out, _ = cli("compare", *forks, "--rider", "82 kg", "--draws", 200, "--json")
    assert status == 0
    assert any("assumed" in note for note in json.loads(out)["warnings"])


def test_compare_prints_a_table_for_the_eye(cli: Cli, forks: list[str]) -> None:
    """Without --json the technician reads a table and sentences."""
    status, out, _ = cli("compare", *forks, "--rider", "82 kg", "--draws", 200)
    assert status == 0
    assert "midstroke support" in out
    assert "comes nearest to" in " ".join(out.split())


def test_demo_writes_the_report(cli: Cli, tmp_path: Path) -> None:
    """The demo prints the comparison, writes the report and says where."""
    status, out, _ = cli("demo", "--out", tmp_path / "demo")
    assert status == 0
    assert str(tmp_path / "demo" / "dunlin-and-plover.html") in out.replace("\n", "")
    assert (tmp_path / "demo" / "dunlin-and-plover.html").stat().st_size > 100_000


def test_help_starts_without_the_heavy_libraries() -> None:
    """`forkwright --help` imports none of the libraries that cost time at start."""
    code = (
        "import sys\nfrom forkwright.cli import main\n"
        "try:\n    main(['--help'])\nexcept SystemExit:\n    pass\n"
        "heavy = {'numpy', 'scipy', 'numba', 'pydantic', 'pint', 'polars', 'fastapi', 'sqlalchemy', 'rich'}\n"
        "print(sorted(heavy & set(sys.modules)), file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stderr.strip() == "[]"
