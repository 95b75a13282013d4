"""Options that commands reading files of measurements share: mapping, confirmation, units, signs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from forkwright.commands.options import Command
from forkwright.units import InputError, parse

if TYPE_CHECKING:
    from forkwright.evidence.mapping import SourceMapping
    from forkwright.evidence.recording import Recording
    from forkwright.evidence.tables import Table

NAMES = ("mapping", "save_mapping", "yes", "unit_of", "column_of", "reverse", "zero_of", "sheet", "rate")


def import_options(command: Command) -> Command:
    """Add the options that say what the columns of a file mean."""
    for option in reversed(
        (
            click.option("--mapping", type=click.Path(), help="Kept mapping of this source (TOML)."),
            click.option("--save-mapping", type=click.Path(), help="Keep the mapping for the next file."),
            click.option("--yes", is_flag=True, help="Take guessed units and signs as they are."),
            click.option("--unit-of", multiple=True, metavar="CHANNEL=UNIT", help='For example "travel=mm".'),
            click.option(
                "--column-of", multiple=True, metavar="CHANNEL=HEADER", help='For example "travel=Ch 3".'
            ),
            click.option("--reverse", multiple=True, metavar="CHANNEL", help="Turn this channel's sign."),
            click.option(
                "--zero-of",
                multiple=True,
                metavar="CHANNEL=READING",
                help='Reading, in the file\'s unit, that means zero; for example "travel=160".',
            ),
            click.option("--sheet", help="Sheet of a spreadsheet; the first by default."),
            click.option("--rate", metavar="Q", help="Sampling rate of a file without a time column."),
        )
    ):
        command = option(command)
    return command


def taken(given: dict[str, Any]) -> dict[str, Any]:
    """Take this file's options out of a command's keyword arguments."""
    return {name: given.pop(name) for name in NAMES}


def recording_from(path: str, options: dict[str, Any]) -> Recording:
    """Import a file as the options say, and keep the mapping where that was asked for."""
    from forkwright.evidence.importing import assemble

    table, mapping = table_from(path, options)
    recording = assemble(table, mapping, accept_guesses=options["yes"])
    keep_mapping(mapping, options)
    return recording


def table_from(path: str, options: dict[str, Any]) -> tuple[Table, SourceMapping]:
    """Read a file's table, and say what its columns mean as the options do."""
    from forkwright.evidence.mapping import propose
    from forkwright.evidence.mapping_files import load_mapping
    from forkwright.evidence.tables import read_table

    table = read_table(path, options["sheet"])
    mapping = load_mapping(options["mapping"]) if options["mapping"] else propose(table, Path(path).stem)
    return table, _told(mapping, options)


def keep_mapping(mapping: SourceMapping, options: dict[str, Any]) -> None:
    """Keep the mapping where that was asked for."""
    if options["save_mapping"]:
        from forkwright.evidence.mapping_files import save_mapping

        save_mapping(mapping.confirmed(), options["save_mapping"])


def _told(mapping: SourceMapping, options: dict[str, Any]) -> SourceMapping:
    """Return the mapping after the user's word on columns, units, signs and rate."""
    from dataclasses import replace

    for name, header in _pairs(options["column_of"], "--column-of"):
        mapping = _with_column(mapping, name, header)
    for name, unit in _pairs(options["unit_of"], "--unit-of"):
        mapping = mapping.changed(name, unit=unit)
    for name in options["reverse"]:
        use = mapping.find(name)
        mapping = mapping.changed(name, reversed=not (use is not None and use.reversed))
    for name, reading in _pairs(options["zero_of"], "--zero-of"):
        mapping = mapping.changed(name, zero=_number(reading))
    if options["rate"]:
        mapping = replace(mapping, sample_rate=parse(options["rate"], "frequency").si)
    return mapping


def _with_column(mapping: SourceMapping, name: str, header: str) -> SourceMapping:
    from dataclasses import replace

    from forkwright.evidence.headers import read_header
    from forkwright.evidence.mapping import ColumnUse

    meaning = read_header(name)
    if not meaning.dimension:
        raise InputError("unknown channel", key="--column-of", value=name)
    unit = read_header(f"{name} [{header.rsplit('[', 1)[-1].rstrip(']')}]").unit if "[" in header else ""
    guess = () if unit or meaning.dimension == "text" else ("its unit is not said: give --unit-of",)
    default = unit or {"time": "s", "length": "mm", "pressure": "psi", "force": "N", "temperature": "°C",
                       "speed": "m/s", "acceleration": "m/s2"}.get(meaning.dimension, "")  # fmt: skip
    use = ColumnUse(name, header, meaning.dimension, default, guesses=guess)
    return replace(mapping, uses=(*(u for u in mapping.uses if u.name != name and u.column != header), use))


def _number(text: str) -> float:
    try:
        found = float(text.replace(",", "."))
    except ValueError:
        found = float("nan")
    if not abs(found) < 1e300:
        raise InputError("expected a number, in the column's unit", key="--zero-of", value=text)
    return found


def _pairs(given: tuple[str, ...], flag: str) -> list[tuple[str, str]]:
    pairs = []
    for text in given:
        name, equals, value = text.partition("=")
        if not equals:
            raise InputError("expected CHANNEL=VALUE", key=flag, value=text)
        pairs.append((name.strip(), value.strip()))
    return pairs
