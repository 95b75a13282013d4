"""Parquet files, read with the caution that a damaged one needs."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import polars as pl

from forkwright.evidence.broken_files import broken
from forkwright.evidence.limits import DEFAULT_LIMITS, Limits, check_values
from forkwright.evidence.textfiles import Columns
from forkwright.units import InputError

_TRIAL_READING = """
import sys, polars
scan = polars.scan_parquet(sys.argv[1], glob=False)
rows = scan.select(polars.len()).collect().item()
if rows * len(scan.collect_schema()) <= int(sys.argv[2]):
    scan.collect()
"""


def read_parquet(path: Path, limits: Limits = DEFAULT_LIMITS) -> tuple[Columns, tuple[str, ...]]:
    """Read a Parquet file after checking how many values it declares.

    A damaged page can make the library ask for more memory than there is, which ends its process at once; so
    the file is read in a process of its own first.

    Raises
    ------
    InputError
        If the file is damaged or cut short, or declares more values than the limits allow.
    """
    with path.open("rb") as file:
        begins = file.read(4)
        file.seek(max(0, path.stat().st_size - 4))
        ends = file.read(4)
    if (begins, ends) != (b"PAR1", b"PAR1"):
        raise InputError("this is no Parquet file, or it is cut short", file=str(path))
    command = [sys.executable, "-c", _TRIAL_READING, str(path), str(limits.values)]
    if subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=False).returncode:
        raise InputError("this is no Parquet file, or it is damaged or cut short", file=str(path))
    try:
        scan = pl.scan_parquet(path, glob=False)
        columns = scan.collect_schema()
        rows = int(scan.select(pl.len()).collect().item())
        check_values(path, rows, len(columns), limits)
        frame = scan.collect()
    except (InputError, KeyboardInterrupt, SystemExit):
        raise
    except BaseException as fault:  # a damaged page can make the reader panic, which is no Exception
        raise broken(path, "this is no Parquet file, or it is damaged or cut short", fault) from None
    return _numbers_and_text(frame)


def _numbers_and_text(frame: pl.DataFrame) -> tuple[Columns, tuple[str, ...]]:
    kept: Columns = {}
    notes = []
    for column in frame.get_columns():
        if column.dtype.is_numeric() or column.dtype == pl.Boolean:
            kept[column.name] = np.array(column.cast(pl.Float64).to_numpy(), dtype=np.float64)
        elif column.dtype in (pl.String, pl.Categorical):
            kept[column.name] = column.cast(pl.String)
        elif column.dtype == pl.Datetime:
            kept[column.name] = column.dt.strftime("%Y-%m-%dT%H:%M:%S%.6f")
        else:
            notes.append(f"the column '{column.name}' holds {column.dtype}, which is not read")
    return kept, tuple(notes)
