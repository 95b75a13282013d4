"""A day in the workshop by the command line: a unit from intake to hand-over, and the store kept safe.

Every JSON answer is held to its published schema.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from tests.command_line import in_form, refused
from tests.shop_samples import DEMO, FORMULA, picture_bytes

from forkwright.cli import group
from forkwright.shop.accounts import find_account, password_fits
from forkwright.shop.store import Store
from forkwright.units import InputError


class Bench:
    """The command line at one store."""

    def __init__(self, folder: Path) -> None:
        self.store = folder / "shop.sqlite3"

    def __call__(self, name: str, *arguments: str | Path, schema: str, status: int = 0) -> dict:
        """Run a command with --json, hold the answer to its schema and return it."""
        result = CliRunner().invoke(
            group, [name, "--store", str(self.store), *map(str, arguments), "--json"], catch_exceptions=False
        )
        assert result.exit_code == status, result.output
        return in_form(schema, result.stdout)

    def plain(self, name: str, *arguments: str | Path) -> str:
        """Run a command for the eye and return what it prints."""
        result = CliRunner().invoke(group, [name, "--store", str(self.store), *map(str, arguments)])
        assert result.exit_code == 0, result.output
        return result.output


@pytest.fixture
def bench(tmp_path):
    return Bench(tmp_path / "shop")


def run_job(bench: Bench, tmp_path: Path) -> None:
    """Take a fork in, inspect, work, and hand it over."""
    intake = bench(
        "job",
        *("new", DEMO / "dunlin-160.toml", "--serial", "D-1", "--customer", "Zoë Ødegård"),
        *("--complaint", FORMULA, "--rider-mass", "82 kg", "--riding-hours", "60", "--due", "2031-05-01"),
        schema="job",
    )
    assert (intake["number"], intake["stage"], intake["unit"]["file_version"]) == (1, "intake", 1)
    assert intake["rider"]["mass_kg"] == 82
    bench(
        "shop",
        *("figure", "wear", "bushing_play", "0.20 mm", "--unit", "Dunlin 160", "--source", "invented, p. 1"),
        schema="shop-figure",
    )
    bench("job", "move", "1", "inspection", schema="job")
    bench("job", "setting", "1", "before", "--pressure", "70 psi", "--rebound", "9", schema="job")
    assert [each["limit"] for each in bench("job", "inspect", "1", schema="job-inspect")["items"]].count(
        "0.20 mm"
    ) == 1
    for item in ("crown_and_steerer", "lowers", "axle"):
        bench("job", "inspect", "1", item, "--result", "good", schema="job")
    seen = bench("job", "inspect", "1", "bushing_play", "--measured", "0.12 ± 0.01 mm", schema="job")
    assert {each["item"]: each["result"] for each in seen["findings"]}["bushing_play"] == "good"
    picture = tmp_path / "scratch.png"
    picture.write_bytes(picture_bytes())
    bench("job", "photo", "1", picture, "--caption", "scratch", schema="job")
    bench("job", "move", "1", "work", schema="job")
    bench("job", "note", "1", "foam rings dry", schema="job")
    bench("job", "used", "1", "oil", "maker's oil", "--amount", "10 ml", schema="job")
    bench(
        "job",
        *("leakdown", "1", "positive", "--start", "80 psi", "--end", "79.5 psi", "--hours", "12"),
        schema="job",
    )
    bench("job", "setting", "1", "after", "--pressure", "80 psi", "--spacers", "2", schema="job")
    bench("job", "move", "1", "check", schema="job")
    done = bench(
        "job",
        *("handover", "1", "--technician", "Ines Falk", "--customer", "Zoë Ødegård"),
        *("--work-done", "lower leg service", "--next-hours", "50", "--hours-a-week", "5"),
        schema="job",
    )
    assert (done["stage"], done["obstacles"]) == ("handed over", [])
    assert [each["still_holds"] for each in done["signatures"]] == [True, True]


def test_a_fork_goes_from_intake_to_hand_over_and_is_found_again(bench, tmp_path):
    """The whole job by commands; at the next visit the serial number finds the same unit and its history."""
    run_job(bench, tmp_path)
    assert bench("job", "list", schema="job-list")["jobs"] == []
    again = bench("job", "new", DEMO / "dunlin-160.toml", "--serial", "D-1", schema="job")
    assert (again["number"], again["unit"]["file_version"]) == (2, 1)
    assert [each["number"] for each in bench("job", "list", "--all", schema="job-list")["jobs"]] == [2, 1]
    events = bench("job", "timeline", "2", schema="job-timeline")["events"]
    assert {event["job"] for event in events} == {None, 1, 2}
    assert len(events) > 15
    hits = bench("job", "search", "odegard", schema="job-search")["hits"]
    assert [hit["kind"] for hit in hits] == ["customer"]
    assert bench("job", "search", "foam", "dry", schema="job-search")["hits"][0]["job"] == 1
    for words in ("Dunlin 160", "handed over", "foam rings dry"):
        assert words in bench.plain("job", "show", "1")


def test_the_store_is_backed_up_lost_restored_exported_and_imported(bench, tmp_path):
    """Backup, loss, restore, export, import elsewhere: the same answers; damage is status 1."""
    run_job(bench, tmp_path)
    shown = bench("job", "show", "1", schema="job")
    saved = bench("shop", "backup", schema="shop-backup")["path"]
    bench.store.write_bytes(b"\xa5" * 8192)
    broken = bench("shop", "verify", schema="shop-verify", status=1)
    assert (broken["sound"], broken["backups"]) == (False, [saved])
    restored = bench("shop", "restore", saved, "--yes", schema="shop-restore")
    assert Path(restored["old_store_kept_as"]).read_bytes() == b"\xa5" * 8192
    assert bench("shop", "verify", schema="shop-verify")["sound"]
    assert bench("job", "show", "1", schema="job") == shown
    out = bench("shop", "export", tmp_path / "out", schema="shop-export")
    assert len(out["files"]) == 4
    other = Bench(tmp_path / "other")
    other("shop", "import", tmp_path / "out", schema="shop-import")
    assert other("job", "show", "1", schema="job") == shown
    assert other("shop", "import", tmp_path / "out", "--replace", schema="shop-import")["backup"]
    assert other("shop", "migrate", schema="shop-migrate")["backup"] is None
    assert f"{other.store}: sound (17 records, " in other.plain("shop", "verify")
    assert "1 pictures, read back and sound" in other.plain("shop", "backup")
    assert "accounts and sign-ins are not in this export" in other.plain("shop", "export", tmp_path / "out2")
    assert len(list((tmp_path / "out2").iterdir())) == len(list((tmp_path / "out").iterdir()))


def test_cards_show_their_cautions_and_the_shops_own_figures(bench):
    """A card lists what must be looked up; what the shop entered stands there with its source."""
    assert len(bench("job", "card", schema="job-cards")["cards"]) >= 9
    before = bench("job", "card", "spacer-change", schema="job-card")
    assert set(before["figures"].values()) == {""}
    bench("shop", "figure", "torque", "air side cap", "as typed", schema="shop-figure")
    after = bench("job", "card", "spacer-change", schema="job-card")
    assert after["figures"]["torque: air side cap"].startswith("as typed")
    assert "not entered" in bench.plain("job", "card", "spacer-change")


@pytest.mark.parametrize(
    ("arguments", "named"),
    [
        (("job", "show", "7"), "no such job"),
        (("job", "new", "--kind", "fork"), "give a unit FILE"),
        (("job", "new", "no-such-file.toml"), "no-such-file.toml"),
        (("job", "card", "no-such"), "no such card"),
        (("job", "new", "--kind", "fork", "--name", "x", "--rider-mass", "82"), "rider_mass"),
        (("shop", "restore", __file__, "--yes"), "no readable backup"),
        (("shop", "import", __file__), "no export"),
        (("shop", "verify"), "no shop store"),
    ],
)
def test_wrong_input_is_one_message_and_status_two(tmp_path, cli, arguments, named):
    """No traceback: the one message names what is wrong."""
    name, *rest = arguments
    *before, message = refused(cli, name, "--store", tmp_path / "shop.sqlite3", *rest).splitlines()
    assert message.startswith(("forkwright: ", "Error: "))
    assert named in message
    assert not before or before[0].startswith("Usage: forkwright ")


def test_an_account_is_made_with_a_typed_password(tmp_path):
    """The password is asked for twice and never printed; a slip or a weak one makes no account."""
    place = tmp_path / "shop.sqlite3"

    def made(name: str, typed: str) -> Result:
        account = ["shop", "--store", str(place), "account", name, "--role", "technician"]
        return CliRunner().invoke(group, account, input=typed, catch_exceptions=False)

    done = made("ines", "moorland rain 7\nmoorland rain 7\n")
    assert done.exit_code == 0
    assert "moorland" not in done.output
    slip = made("oda", "moorland rain 7\nmoorland rain 8\n")
    assert slip.exit_code != 0
    assert "moorland" not in slip.output
    with pytest.raises(InputError, match=r"^password: "):
        made("bo", "x\nx\n")
    with Store.open(place) as store, store.look() as session:
        ines = find_account(session, "ines")
        assert ines is not None
        assert ines.role == "technician"
        assert password_fits(ines, "moorland rain 7")
        assert "moorland" not in ines.password_hash
        assert [find_account(session, name) for name in ("oda", "bo")] == [None, None]
