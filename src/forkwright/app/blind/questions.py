"""What the pages of the blind test ask."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field

from forkwright.app.drafts import Draft

Reason = Annotated[str, Field(max_length=500)]
RiderName = Annotated[str, Field(max_length=60)]


class _Question(BaseModel):
    model_config = ConfigDict(extra="forbid")


class SizeQuestion(_Question):
    """A request, filled in as far as its size needs."""

    request: Annotated[dict[str, Any], Field(max_length=40)]


class PlanQuestion(SizeQuestion):
    """A request, and the fork that each option is a setting of (null: limits checked by hand)."""

    forks: Annotated[list[Draft | None], Field(max_length=6)]
    seed: int | None = None


class RecordsQuestion(_Question):
    """Records as a phone kept them; sent again until each has its receipt."""

    records: Annotated[list[dict[str, Any]], Field(max_length=500)]


class CardQuestion(_Question):
    """Whose next run; the next of all, if empty."""

    rider: RiderName = ""


class RiderLinkQuestion(_Question):
    """Who needs a new link."""

    rider: RiderName


class CloseQuestion(_Question):
    """Why, if answers are missing."""

    reason: Reason = ""


class OpenQuestion(_Question):
    """The commitment as printed, if at hand; to break the blind before closing, say so and why."""

    commitment: Annotated[str, Field(max_length=100)] = ""
    break_blind: bool = False
    reason: Reason = ""


class OutcomeQuestion(_Question):
    """Whether the Bayesian update is wanted, and from which counts it starts."""

    believe: bool = False
    prior_right: Annotated[float, Field(gt=0.0, lt=1e6)] = 1.0
    prior_wrong: Annotated[float, Field(gt=0.0, lt=1e6)] = 1.0
