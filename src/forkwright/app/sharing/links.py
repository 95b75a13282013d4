"""The right of a blind test's link: whoever holds a rider's or the mechanic's link needs no account for it.

Riders come to the trailhead without accounts. A link's word is 144 random bits, known to its holder alone,
and is compared in constant time. It opens the calls that are marked for its role (`acts.opened_by_link`) and
no others. Another site cannot make use of it, since the right lies in the address and not in a cookie.
"""

from __future__ import annotations

import hashlib
import logging
import threading
from collections import OrderedDict
from typing import TYPE_CHECKING

from forkwright.app.sharing.rates import Rate, RateLimit
from forkwright.units import InputError

if TYPE_CHECKING:
    from forkwright.app.blind.desk import Desk
    from forkwright.app.blind.seats import Seat
    from forkwright.app.workshop.door import StoreDoor

# A phone asks five times a minute and sends what it has kept; a whole group may stand behind one address.
ONE_LINK = Rate(per_second=2.0, at_once=40.0)
ONE_ADDRESS = Rate(per_second=20.0, at_once=200.0)
LONGEST_TOKEN = 120
_MOST_REMEMBERED = 10_000
_LOG = logging.getLogger("forkwright.app")


class LinkRight:
    """Knows whose link a token is, counts how often it is used, and writes down its first use.

    Parameters
    ----------
    desk : Desk
        Finds a trial and whose link it is.
    door : StoreDoor
        The shop's store, whose audit of sign-ins takes the lines.
    """

    def __init__(self, desk: Desk, door: StoreDoor) -> None:
        self._desk = desk
        self._door = door
        self._by_link = RateLimit(ONE_LINK)
        self._by_address = RateLimit(ONE_ADDRESS)
        self._written: OrderedDict[tuple[str, str], None] = OrderedDict()
        self._lock = threading.Lock()

    def wait(self, token: str, address: str) -> float:
        """Count one request; return 0.0 when it may pass, otherwise the seconds (s) until one may."""
        return max(self._by_address.wait(address), self._by_link.wait(_digest(token)))

    def holder(self, token: str, roles: frozenset[str], address: str) -> Seat | None:
        """Return whose link this is, if it is of one of these roles, and see to the line in the audit.

        Everything else gets one answer, None: a wrong link, another role's, one that was replaced.
        """
        if len(token) > LONGEST_TOKEN:
            return None
        try:
            seat = self._desk.seated(token).seat
        except InputError:
            return None
        if seat.role not in roles:
            return None
        self._write_down(seat, token, address)
        return seat

    def _write_down(self, seat: Seat, token: str, address: str) -> None:
        """Write down the first use from an address; a store that cannot take the line keeps nobody out."""
        from forkwright.shop.accounts_signin import note_link
        from forkwright.shop.troubles import StoreTrouble

        key = (_digest(token), address)
        with self._lock:
            if key in self._written:
                self._written.move_to_end(key)
                return
        what = f"link: {seat.role} of {seat.trial}"
        try:
            store = self._door.open()
            with store.change("link") as session:
                note_link(session, person=seat.person, what=what, address=address, now=store.clock())
        except (StoreTrouble, InputError) as error:
            _LOG.warning("the use of a blind test's link could not be written down: %s", error)
            return
        with self._lock:
            self._written[key] = None
            while len(self._written) > _MOST_REMEMBERED:
                self._written.popitem(last=False)


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()
