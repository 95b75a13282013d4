"""The virtual bench: hardware and a setting in, curves out, with tolerances carried as bands."""

from forkwright.bench.conditions import Conditions
from forkwright.bench.spring import SpringCurve, spring_curve

__all__ = ["Conditions", "SpringCurve", "spring_curve"]
