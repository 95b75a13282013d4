"""What riders and leader are sent while the key is sealed: no key, no settings, no allocation."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from tests.app_visitor import PLACE, Visitor, portal
from tests.trial_samples import PAIRED

from forkwright.app import Options, create_app
from forkwright.app.blind.seats import FILE
from forkwright.trial import MASK_CHECKS, SAFETY_CHECKS, Trial

DEMO = Path(__file__).parents[2] / "src" / "forkwright" / "demo"
LABELS = ("zebrafinch", "turnstone")
SETTINGS = ("83.21 psi", "79.43 psi")
REQUEST: dict[str, Any] = PAIRED | {
    "name": "Spring day",
    "options": [
        {"label": label, "setting": {"pressure": pressure}}
        for label, pressure in zip(LABELS, SETTINGS, strict=True)
    ],
    "limits": {"load": "420 N", "full_travel_force": "1500 N"},
}


def fork(**edits: Any) -> dict[str, Any]:
    """Return the demonstration fork as a browser sends it."""
    text = (DEMO / "dunlin-160.toml").read_text(encoding="utf-8")
    return {
        "toml": text,
        "edits": {f"setting.{key}": value for key, value in edits.items()},
        "name": "Dunlin",
    }


@pytest.fixture
def links(client: Any) -> dict[str, Any]:
    """Plan a trial and return its links."""
    planned = client.post("/api/blind/plan", json={"request": REQUEST, "forks": [fork(), fork()]})
    assert planned.status_code == 200, planned.text
    found: dict[str, Any] = planned.json()["links"]
    return found


def trial_of(client: Any) -> Trial:
    """Return the trial on disk."""
    return Trial(client.app.state.options.trials / "spring-day")


def keep(client: Any, token: str, *records: dict[str, Any]) -> list[dict[str, str]]:
    """Send records as a phone does and return the receipts."""
    stamped = [
        {"id": f"{token[-8:]}-{number}-{record['kind']}", "at": datetime.now(UTC).isoformat(), **record}
        for number, record in enumerate(records)
    ]
    answered = client.post(f"/api/blind/seat/{token}/records", json={"records": stamped})
    assert answered.status_code == 200, answered.text
    found: list[dict[str, str]] = answered.json()["receipts"]
    return found


def ridden(client: Any, links: dict[str, Any]) -> None:
    """Ride everything: warm-ups, cards, ready checks, and every rider choosing the first run."""
    for rider, token in links["riders"].items():
        keep(client, token, {"kind": "warm_up", "by": rider, "rider": rider})
    checks = [*SAFETY_CHECKS, *MASK_CHECKS]
    runs = trial_of(client).plan.runs()
    for number, _ in enumerate(runs):
        card = client.post(f"/api/blind/seat/{links['mechanic']}/card", json={}).json()
        record = {
            "id": f"ready-{number}",
            "kind": "ready",
            "by": "Maple",
            "code": card["code"],
            "checks": checks,
        }
        receipts = client.post(
            f"/api/blind/seat/{links['mechanic']}/records",
            json={"records": [{**record, "at": datetime.now(UTC).isoformat()}]},
        ).json()["receipts"]
        assert receipts[0]["status"] == "kept"
    for rider, token in links["riders"].items():
        sessions = [session for session in trial_of(client).plan.sessions if session.rider == rider]
        keep(
            client,
            token,
            *(
                {"kind": "choice", "by": rider, "session": one.number, "choice": one.codes[0]}
                for one in sessions
            ),
        )


def every_answer(client: Any, token: str) -> list[str]:
    """Ask everything that can be asked with one link, sensible or not, and return all answers as text."""
    seat = f"/api/blind/seat/{token}"
    asked = [
        client.get(seat),
        client.post(f"{seat}/card", json={}),
        client.post(f"{seat}/card", json={"rider": "Ash"}),
        client.post(f"{seat}/outcome", json={}),
        client.post(f"{seat}/open", json={}),
        client.post(f"{seat}/open", json={"commitment": "0" * 64}),
        client.post(f"{seat}/close", json={"reason": ""}),
        client.post(f"{seat}/records", json={"records": [{"id": "x", "kind": "ready", "by": "Maple"}]}),
        client.get("/api/blind"),
        client.get("/api/jobs"),
        client.post("/api/blind/trials/spring-day/lead", json={}),
        client.get("/api/blind/trials/spring-day"),
        client.get("/api/blind/trials/../spring-day/key.sealed"),
        *(client.get(f"/{path}") for path in ("blind", "blind/rider", "blind/lead", "blind/mechanic")),
    ]
    return [answer.text for answer in asked]


@pytest.mark.parametrize("who", ["rider", "leader"])
def test_no_answer_holds_key_or_allocation(client: Any, links: dict[str, Any], who: str) -> None:
    """While the key is sealed nothing sent to rider or leader tells a setting, a salt or what hides where."""
    ridden(client, links)
    trial = trial_of(client)
    key = trial.sealed_key()
    token = links["riders"]["Ash"] if who == "rider" else links["leader"]
    texts = every_answer(client, token)
    assert any("session" in text for text in texts)
    mechanic = links["mechanic"].split(".")[1]
    for text in texts:
        assert key.salt not in text
        assert mechanic not in text
        assert "allocation" not in text
        assert all(setting not in text and setting.split()[0] not in text for setting in SETTINGS)
        for label in LABELS:
            if who == "rider":
                assert label not in text
            else:  # the leader may know what is compared: the labels stand alone, never beside a code
                pieces = text.split(label)
                assert not any(code in before[-40:] for before in pieces[:-1] for code in key.allocation)
                assert not any(code in after[:40] for after in pieces[1:] for code in key.allocation)


def test_leader_sees_every_rider_the_same_whatever_hides(client: Any) -> None:
    """With one seed and different salts, the leader's and the riders' views are the same."""
    views, keys = [], []
    for _ in range(2):
        # 40 sessions: that two draws agree by chance is out of the question
        body = {"request": {**REQUEST, "repeats": 20}, "forks": [fork(), fork()], "seed": 5}
        links = client.post("/api/blind/plan", json=body).json()["links"]
        name = links["leader"].split(".")[0]
        keys.append(Trial(client.app.state.options.trials / name).sealed_key().allocation)
        seen = [
            client.get(f"/api/blind/seat/{token}").json()
            for token in (links["leader"], links["riders"]["Ash"])
        ]
        for view in seen:
            for changing in ("planned_at", "commitment", "rider_links", "trial"):
                view.pop(changing, None)
        views.append(json.dumps(seen))
    assert keys[0] != keys[1]
    assert views[0] == views[1]


def test_a_rider_sees_own_codes_only(client: Any, links: dict[str, Any]) -> None:
    """A rider's answers hold no code and no link of another rider."""
    own, others = (
        [code for one in trial_of(client).plan.sessions if one.rider == rider for code in one.codes]
        for rider in ("Ash", "Birch")
    )
    text = "".join(every_answer(client, links["riders"]["Ash"]))
    assert len(others) >= 4
    assert [code for code in own if f'"{code}"' in text] == own
    assert not [code for code in others if f'"{code}"' in text]
    assert links["riders"]["Birch"] not in text
    assert links["leader"] not in text


def test_only_the_mechanic_gets_a_card_and_only_the_next(client: Any, links: dict[str, Any]) -> None:
    """Card calls by others are refused; the mechanic gets one code until it is made ready, no later one."""
    for token in (links["leader"], links["riders"]["Ash"]):
        asked = client.post(f"/api/blind/seat/{token}/card", json={})
        assert (asked.status_code, asked.json()["message"]) == (422, "only the mechanic sees the card")
    card = f"/api/blind/seat/{links['mechanic']}/card"
    assert "warm-up" in client.post(card, json={}).json()["error"]
    for rider, token in links["riders"].items():
        keep(client, token, {"kind": "warm_up", "by": rider, "rider": rider})
    first, again = client.post(card, json={}).json(), client.post(card, json={}).json()
    assert first == again
    assert first["label"] in LABELS
    assert sum(code in json.dumps(first) for code in trial_of(client).sealed_key().allocation) == 1
    seen = client.get(f"/api/blind/seat/{links['mechanic']}").text
    assert "psi" not in seen


def test_nobody_writes_in_anothers_name(client: Any, links: dict[str, Any]) -> None:
    """A rider's link takes the rider's own records only; a bad one holds up no good one beside it."""
    receipts = keep(
        client,
        links["riders"]["Ash"],
        {"kind": "resume", "by": "Linden", "text": "go on"},
        {"kind": "remark", "by": "Ash", "text": "harsh"},
        {"kind": "remark", "by": "Ash", "text": "x", "code": "12"},
    )
    assert [one["status"] for one in receipts] == ["refused", "kept", "set aside"]
    assert "not the name of this link" in receipts[0]["reason"]


def test_closing_and_opening_are_the_leaders_and_verified(client: Any, links: dict[str, Any]) -> None:
    """Nobody opens before closing, nor against another commitment than the printed one."""
    ridden(client, links)
    lead = f"/api/blind/seat/{links['leader']}"
    assert "not closed" in client.post(f"{lead}/open", json={}).json()["error"]
    for other in (links["mechanic"], links["riders"]["Ash"]):
        for what in ("close", "open", "outcome", "mechanic-link", "rider-link"):
            body = {"rider": "Ash"} if what == "rider-link" else {}
            asked = client.post(f"/api/blind/seat/{other}/{what}", json=body)
            assert (asked.status_code, asked.json()["message"]) == (422, "only the leader may do this")
    assert client.post(f"{lead}/close", json={}).json()["missing"] == []
    late = keep(client, links["riders"]["Ash"], {"kind": "remark", "by": "Ash", "text": "late"})
    assert late[0]["status"] == "set aside"
    assert client.post(f"{lead}/open", json={"commitment": "0" * 64}).status_code == 422
    commitment = trial_of(client).plan.commitment
    opened = client.post(f"{lead}/open", json={"commitment": commitment}).json()
    assert opened["draw_repeats"] is True
    assert opened["allocation"] == trial_of(client).sealed_key().allocation
    assert client.get(lead).json()["opened"]["allocation"] == opened["allocation"]
    assert LABELS[0] not in client.get(f"/api/blind/seat/{links['riders']['Ash']}").text


def test_a_setting_over_the_limits_is_refused_before_a_plan_lies_anywhere(client: Any) -> None:
    """A setting past the unit's limits draws no plan and leaves no folder."""
    over = {**REQUEST, "options": [REQUEST["options"][0], {"label": "b", "setting": {"pressure": "300 psi"}}]}
    refused = client.post("/api/blind/plan", json={"request": over, "forks": [fork(), fork()]})
    assert refused.status_code == 422
    assert "must not be ridden" in refused.json()["error"]
    assert client.get("/api/blind").json() == {"trials": []}
    assert list(client.app.state.options.trials.iterdir()) == []
    brakes = {**REQUEST, "options": [REQUEST["options"][0], {"label": "other brakes", "setting": {}}]}
    refused = client.post("/api/blind/plan", json={"request": brakes, "forks": [fork(), fork()]})
    assert "braking" in refused.json()["error"]


def test_a_request_cannot_name_files_of_this_machine(client: Any, tmp_path: Path) -> None:
    """A unit file named in the request is not looked at, sound or not: the forks are those that were sent."""
    sound = tmp_path / "kestrel.toml"
    sound.write_text((DEMO / "dunlin-160.toml").read_text(encoding="utf-8"), encoding="utf-8")
    for named in (str(sound), "../../../etc/hostname"):
        sly = {**REQUEST, "options": [{**one, "unit": named} for one in REQUEST["options"]]}
        refused = client.post("/api/blind/plan", json={"request": sly, "forks": [None, None]})
        assert refused.status_code == 422
        assert "no unit file to compute its limits from" in refused.json()["message"]
        assert Path(named).stem not in refused.text
    sound.unlink()
    planned = client.post("/api/blind/plan", json={"request": sly, "forks": [fork(), fork()]})
    assert planned.status_code == 200, planned.text
    assert "hostname" not in planned.text


def test_a_lost_mechanics_link_is_replaced_and_counted(client: Any, links: dict[str, Any]) -> None:
    """A new link ends the old one, and leader and mechanic both read how many there have been."""
    made = client.post(f"/api/blind/seat/{links['leader']}/mechanic-link", json={}).json()
    assert client.get(f"/api/blind/seat/{links['mechanic']}").status_code == 422
    assert client.get(f"/api/blind/seat/{made['mechanic']}").json()["mechanic_links"] == 2
    assert client.get(f"/api/blind/seat/{links['leader']}").json()["mechanic_links"] == 2


def test_a_riders_link_is_replaced_and_counted(client: Any, links: dict[str, Any]) -> None:
    """A new link ends the old one and no other; the rider and the leader read how many there have been."""
    lead = f"/api/blind/seat/{links['leader']}"
    made = client.post(f"{lead}/rider-link", json={"rider": "Ash"}).json()
    assert (made["rider"], made["link_count"]) == ("Ash", 2)
    assert client.get(f"/api/blind/seat/{links['riders']['Ash']}").status_code == 422
    late = {"records": [{"id": "x", "kind": "remark", "by": "Ash", "text": "harsh"}]}
    assert client.post(f"/api/blind/seat/{links['riders']['Ash']}/records", json=late).status_code == 422
    seen = client.get(f"/api/blind/seat/{made['link']}").json()
    assert (seen["person"], seen["link_count"]) == ("Ash", 2)
    for other in (links["riders"]["Birch"], links["mechanic"]):
        assert client.get(f"/api/blind/seat/{other}").status_code == 200
    view = client.get(lead).json()
    assert view["rider_links"]["Ash"] == made["link"]
    assert view["rider_link_counts"] == {"Ash": 2, "Birch": 1}
    assert client.post(f"{lead}/rider-link", json={"rider": "Ash"}).json()["link_count"] == 3
    nobody = client.post(f"{lead}/rider-link", json={"rider": "Oak"})
    assert (nobody.status_code, nobody.json()["key"]) == (422, "rider")


def test_wrong_links_get_one_answer(client: Any, links: dict[str, Any]) -> None:
    """A link that is nobody's is refused in the same words, whether or not there is such a trial."""
    right = links["leader"]
    trial, word = right.split(".")
    nobodys = (
        "x", trial, f"{trial}.", f"{trial}.x", right[:-1], f"{right}x", right.upper(), f"no-such.{word}",
        "no-such.y", "..x", "%2e", f"{trial}%00.{word}",
    )  # fmt: skip
    asked = [client.get(f"/api/blind/seat/{token}") for token in nobodys]
    asked += [client.post(f"/api/blind/seat/{token}/card", json={}) for token in nobodys]
    assert {(answer.status_code, answer.json()["message"]) for answer in asked} == {
        (422, "this link belongs to nobody here; ask for a new one")
    }
    assert len({answer.text for answer in asked}) == 1
    for path in (".", f"..%2F{right}"):
        assert client.get(f"/api/blind/seat/{path}").status_code == 404


def test_links_of_a_trial_planned_elsewhere_are_given_out_once(client: Any, links: dict[str, Any]) -> None:  # noqa: ARG001
    """A trial without links hands them out to the first who asks, and to nobody afterwards."""
    lead = "/api/blind/trials/spring-day/lead"
    assert "already" in client.post(lead, json={}).json()["error"]
    (trial_of(client).folder / FILE).unlink()
    assert client.get("/api/blind").json()["trials"][0]["links_out"] is False
    again = client.post(lead, json={}).json()["links"]
    assert client.get(f"/api/blind/seat/{again['leader']}").json()["role"] == "leader"
    assert client.post(lead, json={}).status_code == 422


def test_the_size_of_a_ranking_is_a_job_that_tells_and_stops(tmp_path: Path) -> None:
    """The search tells what it has tried while it runs; cancelled, it ends at the next word."""
    app = create_app(Options(warm_up=False, trials=tmp_path / "trials"))
    options = [{"label": f"o{number}", "setting": {}} for number in range(6)]
    aim = {"preferred_share": 0.55}
    asked = {"request": {**REQUEST, "design": "ranked", "aim": aim, "options": options, "repeats": None}}
    with portal() as started:
        visitor = Visitor(started, app, PLACE, "127.0.0.1")
        key = visitor.post("/api/blind/size", json=asked).json()["job"]
        words: set[str] = set()
        while len(words) < 3:
            account = visitor.get(f"/api/jobs/{key}").json()
            assert account["state"] in ("waiting", "running"), account
            words |= {account["words"]} - {""}
        assert all("power 0." in one for one in words)
        visitor.delete(f"/api/jobs/{key}")
        while account["state"] in ("waiting", "running"):
            account = visitor.get(f"/api/jobs/{key}").json()
        assert account["state"] == "cancelled"
    app.state.jobs.close()
