"""The published form of a revalve: stacks as they are written, forces in N, stresses in Pa."""

from __future__ import annotations

from forkwright.hardware.discs import Disc, size_text
from forkwright.tune.revalve import RevalveAnswer
from forkwright.tune.valve_bench import Proposal


def revalve_answer(answer: RevalveAnswer) -> dict[str, object]:
    """Return proposals for a valve as the JSON object that the command line and the pages give."""
    return {
        "proposals": [_proposal(one) for one in answer.proposals],
        "present": _proposal(answer.present),
        "searched": answer.searched,
        "possible": answer.possible,
        "exhaustive": answer.exhaustive,
        "overstressed": answer.overstressed,
        "rules": list(answer.rules),
        "warnings": list(answer.warnings),
    }


def _proposal(one: Proposal) -> dict[str, object]:
    return {
        "shims": [disc_words(disc) for disc in one.discs],
        "force_N": one.force,
        "difference_N": one.difference,
        "error": one.error,
        "stress_Pa": one.stress,
        "yield_stress_Pa": one.yield_stress,
    }


def disc_words(disc: Disc) -> str:
    """Return a shim as it is written, with how many of it lie on each other."""
    size = size_text(disc.outer_diameter, disc.thickness)
    return size if disc.count == 1 else f"{disc.count} of {size}"
