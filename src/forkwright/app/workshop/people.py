"""Who asks: an account when the workbench is shared, otherwise whoever sits at this machine."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Person:
    """Somebody at a browser.

    Attributes
    ----------
    name : str
        For the audit trail.
    role : str
        "technician", "front desk" or "read-only".
    form_token : str
        What a changing request of this person's session must carry; empty when nobody signs in.
    """

    name: str
    role: str
    form_token: str = ""

    @property
    def may(self) -> frozenset[str]:
        """What this role may do."""
        from forkwright.shop.accounts import MAY

        return MAY.get(self.role, frozenset())

    def allow(self, act: str) -> None:
        """Let the call pass if this person may do `act`.

        Raises
        ------
        NotAllowed
            The role may not.
        """
        from forkwright.shop.accounts import allow
        from forkwright.shop.records_accounts import Account

        allow(Account(name=self.name, role=self.role, disabled=False), act)
