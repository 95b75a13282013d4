"""`forkwright shop`: keeping the workshop's store safe, and its own figures and accounts."""

from __future__ import annotations

import click

from forkwright.commands import shop_exchange, shop_keeping, shop_register
from forkwright.commands.shop_store import Desk, default_store, store_option


@click.group()
@store_option
@click.option("--actor", default="", help="Who is at work.")
@click.pass_context
def command(context: click.Context, where: str | None, actor: str) -> None:
    """The workshop store: back up, restore, verify, export, import, bring up to date."""
    context.obj = Desk(where or default_store(), actor)


for each in (
    shop_keeping.backup,
    shop_keeping.restore,
    shop_keeping.verify,
    shop_exchange.export,
    shop_exchange.import_,
    shop_keeping.migrate,
    shop_register.figure,
    shop_register.account,
    shop_register.signins,
):
    command.add_command(each)
