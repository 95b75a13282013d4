"""What the Ride page says beside its numbers: differences from nothing, assumed sizes, file names."""

from __future__ import annotations

from typing import Any

import pytest
from tests.app_rides import VISITOR, draft, question, ridden

from forkwright.app.ride.sentences import pair_sentences
from forkwright.units import UnitChoice

ALIKE = {
    "riding_sag_m": 0.04, "greatest_travel_m": 0.1, "pack_down_m": 0.001, "bumper_hits": 0, "bottom_outs": 0,
    "tyre_load_variation": 0.3, "hand_acceleration_m_s2": 2.0, "mean_heating_W": 5.0,
    "contact_lost_share": 0.0, "contact_losses": 0,
}  # fmt: skip


@pytest.mark.parametrize("key", ["tyre_load_variation", "hand_acceleration_m_s2", "mean_heating_W"])
def test_something_against_nothing_is_a_difference(key: str) -> None:
    """A score that is nothing with A and something with B is not called alike; nothing in both is."""

    def said(a: float, b: float) -> list[str]:
        return pair_sentences("yard", ALIKE | {key: a}, ALIKE | {key: b}, (0.16, 0.16), UnitChoice())

    differing = said(0.0, 1.0)
    assert any("is nothing with A, and something with B" in words for words in differing)
    assert said(0.0, 0.0) == said(1.0, 1.0)
    assert not any("nothing with A" in words for words in said(0.0, 0.0))


def test_a_size_that_the_file_assumes_is_named_under_the_drawing(client: Any) -> None:
    """Missing or said to be assumed in the file: the page marks both alike."""
    crown = {"chassis.axle_to_crown": {"value": "566 mm", "origin": "assumed"}}
    fork = draft() | {"edits": crown}
    found = ridden(client, question(fork=fork))
    assert found["sides"][0]["figure"]["assumed"] == ["axle to crown"]
    assert ridden(client, question())["sides"][0]["figure"]["assumed"] == []


@pytest.mark.parametrize("name", ["ä" * 110 + ".csv", "folder/run.csv"])
def test_a_profiles_name_is_refused_in_true_words(client: Any, name: str) -> None:
    """Too long, or with a folder: the range names both."""
    profile = {
        "file": name,
        "csv": "distance_m,elevation_m\n0,0\n1,0\n",
        "speed": "6 m/s",
        "smoothing": "20 m",
    }
    asked = question(course={"name": "run", "profile": profile})
    reply = client.post("/api/ride/course", json=asked["course"], headers=VISITOR)
    assert reply.status_code == 422
    assert "up to 200 bytes" in reply.json()["error"]
