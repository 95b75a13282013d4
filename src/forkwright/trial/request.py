"""What a trial is asked to find out: the request file (TOML, ``format = 1``), checked before any draw."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Any, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from forkwright.trial.request_errors import as_input_error, line_of, parsed_toml
from forkwright.units import InputError, refuse_newer_format

Design = Literal["paired", "triangle", "duo-trio", "ranked", "rated"]
Name = Annotated[str, Field(min_length=1, max_length=60)]
Setting = dict[str, str | int | float | bool]

#: Tests of whether a difference can be told at all; they compare two options.
DIFFERENCE_DESIGNS: tuple[Design, ...] = ("triangle", "duo-trio")


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", str_strip_whitespace=True, allow_inf_nan=False)


class Option(_Part):
    """One of the things compared: a label, and the setting the mechanic makes, which is never read here."""

    label: Name
    setting: Setting = Field(default_factory=dict)
    unit: str = ""
    """The unit's own file, for whoever judges whether the setting may be ridden."""
    checked_by_hand: str = Field(default="", max_length=200)
    """Who has checked the limits of this setting, and how, where no unit file allows computing it."""


class Scale(_Part):
    """A rating scale of whole points whose two ends are anchored in words."""

    name: Name
    low: Name
    high: Name
    points: int = Field(default=9, ge=3, le=101)
    better: Literal["high", "low"] = "high"


class Aim(_Part):
    """The difference worth finding and the risks accepted (all dimensionless unless the scale has a unit)."""

    alpha: float = Field(default=0.05, ge=0.0001, le=0.2)
    """The risk of reporting a difference that is not there."""
    power: float = Field(default=0.9, ge=0.5, le=0.999)
    """The chance wanted of finding the difference, if it is there."""
    discriminators: float | None = Field(default=None, gt=0, lt=1)
    """Triangle, duo-trio: the share of answers given by really telling the options apart."""
    preferred_share: float | None = Field(default=None, gt=0.5, lt=1)
    """Paired, ranked: the share of answers that puts the better option first, of two."""
    difference: float | None = Field(default=None, gt=0)
    """Rated: the difference worth finding, in points of the primary scale or in seconds."""
    run_spread: float | None = Field(default=None, gt=0)
    """Rated: standard deviation of one run by the same rider on the same option, points or seconds."""
    rider_spread: float = Field(default=0.0, ge=0)
    """Rated: standard deviation between riders of the true difference, points or seconds."""


class Day(_Part):
    """What a day at the trail allows."""

    runs_per_rider: int = Field(default=9, ge=1, le=60)
    run_minutes: float = Field(default=6, gt=0, le=240)
    changeover_minutes: float = Field(default=10, ge=0, le=240)
    minutes: float = Field(default=300, gt=0, le=900)
    bikes: int = Field(default=1, ge=1, le=20)


class Request(_Part):
    """A whole request. `limits` is handed on to whoever judges the settings, and not read here."""

    format: Literal[1]
    name: Name
    design: Design
    question: str = Field(min_length=5, max_length=200)
    riders: tuple[Name, ...] = Field(min_length=1, max_length=60)
    leader: Name
    mechanic: Name
    options: tuple[Option, ...] = Field(min_length=2, max_length=6)
    repeats: int | None = Field(default=None, ge=1, le=60)
    aim: Aim = Aim()
    scales: tuple[Scale, ...] = ()
    times: tuple[Name, ...] = ()
    primary: str = ""
    alternative: Literal["two-sided", "greater"] = "two-sided"
    expected_order: tuple[Name, ...] = ()
    control: Literal["holm", "bh"] = "holm"
    day: Day = Day()
    same_on_every_run: tuple[Name, ...] = ()
    limits: dict[str, str | float | int] = Field(default_factory=dict)

    @property
    def labels(self) -> tuple[str, ...]:
        """The options' labels, in the order of the file."""
        return tuple(option.label for option in self.options)

    @model_validator(mode="after")
    def _people_and_names_are_distinct(self) -> Self:
        _distinct("riders", self.riders)
        _distinct("option labels", self.labels)
        _distinct("scales and times", [scale.name for scale in self.scales] + list(self.times))
        if self.mechanic in self.riders or self.mechanic == self.leader:
            raise ValueError(
                f"mechanic: {self.mechanic!r} sees the settings, so may neither ride nor lead the trial"
            )
        return self

    @model_validator(mode="after")
    def _design_has_what_it_needs(self) -> Self:
        if self.design in DIFFERENCE_DESIGNS and len(self.options) != 2:
            raise ValueError(f"options: a {self.design} test compares exactly 2, not {len(self.options)}")
        if self.design in DIFFERENCE_DESIGNS and (self.scales or self.times):
            raise ValueError(f"scales: a {self.design} test asks one thing only; take no ratings or times")
        if self.design == "rated" and not (self.scales or self.times):
            raise ValueError("scales: a rated trial needs at least one scale or one time")
        measures = [scale.name for scale in self.scales] + list(self.times)
        if self.design == "rated" and self.primary not in measures:
            raise ValueError(f"primary: name the scale or time that decides; one of {', '.join(measures)}")
        if self.design != "rated" and self.primary:
            raise ValueError("primary: only a rated trial has one; here the choice or the ranking decides")
        if self.expected_order and sorted(self.expected_order) != sorted(self.labels):
            raise ValueError("expected_order: name every option once, the best first")
        if self.expected_order and self.design == "rated":
            raise ValueError("expected_order: a trend is tested on rankings; use the ranked design")
        if self.alternative == "greater" and self.design == "paired" and len(self.expected_order) != 2:
            raise ValueError(
                "alternative: one-sided needs two options and expected_order, the expected winner first"
            )
        return self

    @model_validator(mode="after")
    def _size_can_be_found(self) -> Self:
        needed = {
            "triangle": ("discriminators",),
            "duo-trio": ("discriminators",),
            "paired": ("preferred_share",),
            "ranked": ("preferred_share",),
            "rated": ("difference", "run_spread"),
        }[self.design]
        missing = [f"aim.{key}" for key in needed if getattr(self.aim, key) is None]
        if missing:
            raise ValueError(
                f"{missing[0]}: missing; the difference worth finding must be stated before the trial"
            )
        return self


def read_request(path: str | Path) -> Request:
    """Read a request file.

    Parameters
    ----------
    path : str or Path
        The TOML file.

    Raises
    ------
    InputError
        Naming file, line, key, value and allowed range, if anything in it is wrong.
    """
    file = Path(path)
    try:
        text = file.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as fault:
        raise InputError(f"cannot be read ({fault.__class__.__name__})", file=str(file)) from fault
    return request_from_text(text, str(file))


def request_from_text(text: str, name: str = "") -> Request:
    """Read a request from TOML text; `name` is the file named in errors. Raises InputError."""
    return _checked(parsed_toml(text, name), text, name)


def request_from_mapping(content: Mapping[str, Any], name: str = "") -> Request:
    """Read a request from already parsed content, such as a form. Raises InputError."""
    return _checked(content, "", name)


def _checked(content: Mapping[str, Any], text: str, name: str) -> Request:
    refuse_newer_format(content.get("format"), 1, file=name or None, line=line_of(text, ("format",)))
    try:
        return Request.model_validate(dict(content))
    except ValidationError as fault:
        raise as_input_error(fault, text, name) from fault


def _distinct(what: str, names: tuple[str, ...] | list[str]) -> None:
    twice = sorted({name for name in names if list(names).count(name) > 1})
    if twice:
        raise ValueError(f"{what}: {twice[0]!r} stands twice")
