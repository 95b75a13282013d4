"""The shims a shop has, as a page writes them: one size a line, with how many there are."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from forkwright.units import InputError

if TYPE_CHECKING:
    from forkwright.hardware.drawer import Drawer

_LINE = re.compile(r"\A(?:(?P<count>[0-9]{1,3})\s+of\s+)?(?P<size>\S.*)\Z")


def drawer_from(text: str) -> Drawer:
    """Read a list of shims such as "3 of 19.0 x 0.20 mm", one size a line; empty lines are passed over.

    Raises
    ------
    InputError
        Naming the line of the first thing wrong.

    Examples
    --------
    >>> drawer_from("3 of 19.0 x 0.20 mm").shims[0].count
    3
    """
    from forkwright.hardware.discs import Disc
    from forkwright.hardware.drawer import Drawer
    from forkwright.hardware.files import validated

    shims = []
    for number, line in enumerate(text.splitlines(), start=1):
        found = _LINE.match(line.strip())
        if found is None:
            continue
        entry = {"size": found["size"], "count": int(found["count"] or 1)}
        try:
            shims.append(validated(Disc, entry))
        except InputError as fault:
            raise InputError(
                fault.message, file="shims", line=number, key=fault.key, value=fault.value or line.strip(),
                allowed=fault.allowed or "such as '3 of 19.0 x 0.20 mm'",
            ) from None  # fmt: skip
    if not shims:
        raise InputError("list the shims at hand, one size a line", key="shims")
    return Drawer(name="shims at hand", shims=tuple(shims))
