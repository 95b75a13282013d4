"""Recommend and Stages for their pages: searches over simulated rides, with progress and cancel."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from forkwright.app.jobs import Tell
from forkwright.app.question import conditions_of
from forkwright.app.setting_edits import edits_to
from forkwright.app.tuning.courses import chosen
from forkwright.app.tuning.logged import Log, logged_ride
from forkwright.app.tuning.questions import (
    RecommendQuestion,
    StageQuestion,
    StagesQuestion,
    pump_steps,
    read_field,
)
from forkwright.app.tuning.ride_fields import ride_options
from forkwright.app.wire import download, plain
from forkwright.hardware import Bike, Rider, Setting, Unit
from forkwright.units import UnitChoice

if TYPE_CHECKING:
    from forkwright.tune.stage_days import Stage, Weather


def recommend_job(
    unit: Unit,
    rider: Rider,
    bike: Bike,
    asked: RecommendQuestion,
    log: Log | None,
    units: UnitChoice,
    tell: Tell,
) -> dict[str, Any]:
    """Return the setting to start with, the trade-off, and what to change on the draft for each setting."""
    from forkwright.evidence.ride_answers import course_shares_answer, course_shares_words
    from forkwright.tune.drawn_rides import DRAWS as RIDE_DRAWS
    from forkwright.tune.logged_courses import shares_of_log
    from forkwright.tune.recommend import recommend
    from forkwright.tune.recommend_answer import recommend_answer

    courses, options = [chosen(choice) for choice in asked.courses], ride_options(asked)
    day, steps = conditions_of(asked.day), pump_steps(asked, bike)
    logged = None
    if log is not None:
        ride = logged_ride(log, unit, lambda share, words: tell(0.05 * share, words))
        logged = shares_of_log(ride, unit, rider, bike, courses, conditions=day, options=options, tell=tell)
    found = recommend(
        unit,
        rider,
        bike,
        courses,
        wishes=asked.wishes,
        margin=asked.margin_percent / 100.0,
        conditions=day,
        options=options,
        pump_step=steps.main,
        secondary_step=steps.secondary,
        seed=asked.seed,
        draws=RIDE_DRAWS if asked.bands else 0,
        course_shares=logged.shares.tolist() if logged is not None else (),
        progress=tell,
    )
    answer = recommend_answer(found, units)
    if log is not None and logged is not None:
        answer["log"] = course_shares_answer(logged, log.held.name)
        answer["sentences"] = [*answer["sentences"], course_shares_words(logged, log.held.name)]
        answer["warnings"] = [*logged.warnings, *answer["warnings"]]
    answer["best"] |= _setting(found.best.setting, unit, units)
    if found.now is not None:
        answer["now"] |= _setting(found.now.setting, unit, units)
    for row, option in zip(answer["trade_off"], found.trade_off, strict=True):
        row |= _setting(option.setting, unit, units)
    result: dict[str, Any] = plain(answer | {"travel_m": float(unit.travel.si)})
    return result


def stages_job(
    unit: Unit, rider: Rider, bike: Bike, asked: StagesQuestion, units: UnitChoice, tell: Tell
) -> dict[str, Any]:
    """Return the race plan, and the card for the top tube."""
    from forkwright.sheets.card_of_stages import stage_card_of
    from forkwright.sheets.stage_card import print_stage_card
    from forkwright.tune.stage_bands import DRAWS as GAIN_DRAWS
    from forkwright.tune.stages import stages
    from forkwright.tune.stages_answer import stages_answer

    steps = pump_steps(asked, bike)
    found = stages(
        unit,
        rider,
        bike,
        [_stage(one) for one in asked.race],
        wishes=asked.wishes,
        margin=asked.margin_percent / 100.0,
        options=ride_options(asked),
        pump_step=steps.main,
        secondary_step=steps.secondary,
        pressures_too=asked.pressures_too,
        speed_spread=asked.speed_spread_percent / 100.0,
        weather=_weather(asked),
        seed=asked.seed,
        draws=GAIN_DRAWS if asked.bands else 0,
        progress=tell,
    )
    answer = stages_answer(found, units)
    for row, stage in zip(answer["stages"], found.stages, strict=True):
        row |= _setting(stage.setting, unit, units)
    card = print_stage_card(stage_card_of(found, asked.title, rider.name, units)).content
    answer["card"] = download("stages.pdf", "application/pdf", card)
    result: dict[str, Any] = plain(answer)
    return result


def _stage(asked: StageQuestion) -> Stage:
    """Return one stage of a race, by its course's name where it has none of its own."""
    from forkwright.tune.stage_days import Stage

    course = chosen(asked.course)
    altitude = read_field(asked.altitude, "length", asked.name or course.name, 0.0)
    return Stage(asked.name.strip() or course.name, course, altitude)


def _weather(asked: StagesQuestion) -> Weather:
    """Return what the day may bring; coldest and warmest are as expected where they are not given."""
    from forkwright.tune.stage_days import Weather

    expected = read_field(asked.expected, "temperature", "expected")
    return Weather(
        expected=expected,
        coldest=read_field(asked.coldest, "temperature", "coldest", expected),
        warmest=read_field(asked.warmest, "temperature", "warmest", expected),
        fill_temperature=read_field(asked.fill_temperature, "temperature", "fill temperature"),
        fill_altitude=read_field(asked.fill_altitude, "length", "fill altitude"),
    )


def _setting(setting: Setting, unit: Unit, units: UnitChoice) -> dict[str, Any]:
    """Return a setting in words, and what to change on the draft to have it."""
    from forkwright.tune.naming import setting_words

    return {"words": setting_words(setting, units, unit), "edits": edits_to(setting, None, units)}
