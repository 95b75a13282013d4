"""The comparison's answers for the pages: a side that follows its sliders, and the whole."""

from __future__ import annotations

from typing import Any

from forkwright.app.adjusters import adjusters_of
from forkwright.app.jobs import Tell
from forkwright.app.rear.wheel import stands, wheel_answer
from forkwright.app.setting_edits import edits_to
from forkwright.app.tuning.questions import PumpSteps
from forkwright.app.wire import download
from forkwright.bench.conditions import Conditions
from forkwright.bench.damping import damping_curve
from forkwright.bench.spring import spring_curve
from forkwright.bench.standing import standing_load
from forkwright.hardware import Bike, Rider, Unit
from forkwright.sheets.compare_words import nearest_sentences, setting_words, summary_sentences
from forkwright.tune.alike import check_alike
from forkwright.tune.compare import Comparison, compare
from forkwright.tune.compare_answer import compare_answer
from forkwright.tune.compare_damper import DRAWS as DAMPER_DRAWS
from forkwright.tune.compare_wheel import wheel_sags
from forkwright.units import UnitChoice

_WHEEL_CURVES = ("wheel_travel_m", "wheel_force_N", "wheel_rate_N_m")


def side_answer(unit: Unit, rider: Rider, bike: Bike, day: Conditions) -> dict[str, Any]:
    """Return one unit on the benches, without bands and with the curves alone that the page draws."""
    rests, spring = stands(unit, rider, bike, day), spring_curve(unit, None, day)
    wheel = wheel_answer(spring, bike, day)
    damping = damping_curve(unit) if unit.damper is not None else None
    return {
        "name": unit.name,
        "kind": unit.kind,
        "spring": {"travel_m": spring.travel, "force_N": spring.force, "rate_N_m": spring.rate},
        "sag": rests.sag,
        "wheel_sag": rests.wheel_sag,
        "wheel": {key: wheel[key] for key in _WHEEL_CURVES} if wheel is not None else None,
        "damping": {"speed_m_s": damping.speed, "force_N": damping.force} if damping is not None else None,
        "adjusters": adjusters_of(unit),
    }


def whole_answer(
    a: Unit,
    b: Unit,
    rider: Rider,
    bike: Bike,
    units: UnitChoice,
    day: Conditions,
    steps: PumpSteps,
    draws: int,
    tell: Tell = lambda _share, _words: None,
) -> dict[str, Any]:
    """Return the comparison with bands, sentences, and what to change on B to bring it nearest to A.

    Parameters
    ----------
    a, b, rider, bike
        Two forks or two shocks, and who rides them.
    units : UnitChoice
        Of the sentences and of what to change.
    day : Conditions
        Gas and air, now and when the chambers were filled.
    steps : PumpSteps
        The smallest steps of the pump.
    draws : int
        Units drawn from the tolerances.
    tell : callable, optional
        Told the share done and in words what is done; it may raise to cancel.
    """
    found = _compared(a, b, rider, bike, day, steps, draws, tell)
    nearest = found.nearest.setting if found.nearest is not None else None
    return compare_answer(found) | {
        "draws": draws,
        "damper_draws": DAMPER_DRAWS,
        "sentences": [*summary_sentences(found, units), *nearest_sentences(found, units)[1:]],
        "settings": {
            "a": setting_words(found.a.setting, units),
            "b": setting_words(found.b.setting, units),
        },
        "nearest_edits": edits_to(nearest, found.b.setting, units),
        "equal_sag_edits": edits_to(found.equal_sag, found.b.setting, units),
    }


def report_answer(
    a: Unit,
    b: Unit,
    rider: Rider,
    bike: Bike,
    units: UnitChoice,
    day: Conditions,
    steps: PumpSteps,
    draws: int,
    tell: Tell,
) -> dict[str, str]:
    """Return the report of `forkwright compare --report` as a file; what is asked is as in `whole_answer`."""
    from forkwright.sheets.compare_report import ReportWishes, compare_report
    from forkwright.sheets.html_report import write_html

    found = _compared(
        a, b, rider, bike, day, steps, draws, lambda share, words: tell(0.95 * share, words)
    )  # fmt: skip
    tell(0.95, "laying out the report")
    wishes = ReportWishes(rider.name, day, units, wheel_sags(found, rider, bike, day))
    written = write_html(compare_report(found, wishes))
    return download("compare.html", "text/html", written.encode("utf-8"))


def _compared(
    a: Unit, b: Unit, rider: Rider, bike: Bike, day: Conditions, steps: PumpSteps, draws: int, tell: Tell
) -> Comparison:
    check_alike(a, b, "compared")
    load = standing_load(a, rider, bike, day)
    return compare(
        a,
        b,
        load.axial,
        load_b=standing_load(b, rider, bike, day).axial,
        side_load=load.side,
        conditions=day,
        pump_step=steps.main,
        secondary_step=steps.secondary,
        draws=draws,
        progress=lambda share: tell(share, "tolerance draws and settings"),
    )
