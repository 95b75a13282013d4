"""`forkwright shop figure`, `account` and `signins`: the shop's own figures, and who may sign in."""

from __future__ import annotations

import click

from forkwright.commands.job_told import print_table
from forkwright.commands.output import print_json, print_warnings
from forkwright.commands.shop_store import Desk, as_json, opened


@click.command("figure")
@click.argument("kind")
@click.argument("item")
@click.argument("value")
@click.option("--unit", "unit_name", default="", help="For units of this name only.")
@click.option("--source", default="", help="Manual, edition, page.")
@as_json
@click.pass_obj
def figure(
    desk: Desk,
    /,
    kind: str,
    item: str,
    value: str,
    unit_name: str,
    source: str,
    *,
    json_wanted: bool,
) -> None:
    """Enter one of the shop's own figures from the maker's manual: torque, pressure, oil, wear, interval."""
    from forkwright.shop.register import add_figure

    with opened(desk.store) as store, store.change(desk.actor) as session:
        added = add_figure(session, kind=kind, item=item, value=value, unit_name=unit_name, source=source)
        names = ("id", "kind", "unit_name", "item", "value", "source")
        facts = {name: getattr(added, name) for name in names}
    warnings = [] if source else ["no source entered: say in which manual and on which page it stands"]
    if json_wanted:
        print_json({**facts, "warnings": warnings})
        return
    click.echo(f"{kind}: {item} = {value}")
    print_warnings(warnings)


@click.command("account")
@click.argument("name")
@click.option("--role", type=click.Choice(["technician", "front desk", "read-only"]), help="Makes a new one.")
@click.option("--disable/--enable", "disabled", default=None, help="Shut out, or let in again.")
@click.option("--new-password", is_flag=True, help="Set another password; ends its running sessions.")
@click.pass_obj
def account(desk: Desk, /, name: str, role: str | None, *, disabled: bool | None, new_password: bool) -> None:
    """Make or change an account for the shared workbench. The password is asked for, never an argument."""
    from forkwright.shop.accounts import add_account, disable, find_account, set_password
    from forkwright.units import InputError

    password = ""
    if role is not None or new_password:
        password = click.prompt("Password", hide_input=True, confirmation_prompt=True, err=True)
    with opened(desk.store) as store, store.change(desk.actor) as session:
        if role is not None:
            add_account(session, name=name, role=role, password=password)
        else:
            found = find_account(session, name)
            if found is None:
                raise InputError("there is no such account", key="name", value=name)
            if new_password:
                set_password(session, found, password)
            if disabled is not None:
                disable(session, found, disabled=disabled)
    click.echo("done")


@click.command("signins")
@click.option("--most", type=click.IntRange(1, 10_000), default=50, show_default=True)
@as_json
@click.pass_obj
def signins(desk: Desk, /, *, most: int, json_wanted: bool) -> None:
    """Latest tries to sign in to the shared workbench, good and bad, newest first."""
    from forkwright.shop.accounts_signin import attempts
    from forkwright.shop.columns import moment_text

    with opened(desk.store) as store, store.look() as session:
        lines = [
            {"at": moment_text(each.at), "name": each.name, "address": each.address, "outcome": each.outcome}
            for each in attempts(session, most=most)
        ]
    if json_wanted:
        print_json({"sign_ins": lines, "warnings": []})
        return
    print_table(lines, ("at", "name", "address", "outcome"))
