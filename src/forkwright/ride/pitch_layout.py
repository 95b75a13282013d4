"""Where the masses of bike and rider stand between the wheels."""

from __future__ import annotations

from dataclasses import dataclass

from forkwright.hardware import Bike, Rider
from forkwright.units import InputError

ASSUMED_WHEELBASE = 1.24  # m
ASSUMED_CENTRE_HEIGHT = 1.05  # m, a rider standing on level pedals
ASSUMED_DYNAMIC_INDEX = 0.5  # own estimate: rider and bike as one body, from the sizes of their parts


@dataclass(frozen=True)
class Layout:
    """Masses and distances in the pitch plane, SI; the rider is part of the bike."""

    mass: float  # kg, sprung, rider included
    whole_mass: float  # kg, wheels included
    rider_mass: float  # kg
    unsprung_front: float  # kg
    unsprung_rear: float  # kg
    inertia: float  # kg m2 about the sprung mass's centre
    wheelbase: float  # m
    to_front: float  # m from the centre to the front axle
    to_rear: float  # m
    centre_height: float  # m above the ground
    assumed: dict[str, str]  # what was assumed, in words, by the bike's key

    @property
    def warnings(self) -> tuple[str, ...]:
        """Everything that had to be assumed."""
        return tuple(self.assumed.values())


def layout_of(rider: Rider, bike: Bike) -> Layout:
    """Return the layout; what the bike's file does not give is assumed and said.

    Raises
    ------
    InputError
        If the wheels weigh more than the bike.

    Notes
    -----
    Source: statics (derived): the front share of the sprung weight is the share of the wheelbase by which
    the centre stands ahead of the rear axle.
    """
    assumed: dict[str, str] = {}
    front = float(bike.unsprung_front.si)
    rear = float(bike.unsprung_rear.si) if bike.unsprung_rear is not None else front
    if bike.unsprung_rear is None:
        assumed["unsprung_rear"] = "unsprung_rear is not given: taken as the front's"
    whole = float(rider.mass.si + bike.mass.si)
    mass = whole - front - rear
    if bike.mass.si <= front + rear:
        raise InputError("the wheels weigh more than the bike", key="mass", value=bike.mass.text)
    base = _given(bike, "wheelbase", ASSUMED_WHEELBASE, "m", assumed)
    height = _given(bike, "centre_height", ASSUMED_CENTRE_HEIGHT, "m", assumed)
    share = float(bike.front_share.si)
    to_front, to_rear = (1.0 - share) * base, share * base
    usual = ASSUMED_DYNAMIC_INDEX * mass * to_front * to_rear
    inertia = _given(bike, "pitch_inertia", usual, "kg m2", assumed)
    return Layout(
        mass, whole, float(rider.mass.si), front, rear, inertia, base, to_front, to_rear, height, assumed
    )


def _given(bike: Bike, name: str, usual: float, unit: str, assumed: dict[str, str]) -> float:
    """Return a measure of the bike in SI, or the usual where it is not given, which is noted in `assumed`."""
    measure = getattr(bike, name)
    if measure is not None:
        return float(measure.si)
    assumed[name] = f"{name} is not given: {usual:.3g} {unit} is assumed"
    return usual
