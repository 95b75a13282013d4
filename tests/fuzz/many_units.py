"""Spoil unit files by the ten thousand, going on after a fault: one run finds them all and counts them."""

from __future__ import annotations

import sys
import time
import traceback
from collections import Counter
from collections.abc import Callable
from pathlib import Path

from tests.fuzz.spoiling import spoiled, strange_but_allowed
from tests.fuzz.unit_files import judge

DEMO = Path(__file__).parents[2] / "src" / "forkwright" / "demo"
UNITS = ("dunlin-160", "plover-160", "linnet-65", "pipit-65")
WAYS: dict[str, Callable[[str, int], str]] = {"spoiled": spoiled, "allowed": strange_but_allowed}


def hunt(way: str, first: int, count: int, every: int = 1000) -> int:
    """Judge `count` files, one for each seed from `first` on; print what came of them.

    Parameters
    ----------
    way : str
        "spoiled" for files with faults, "allowed" for values anywhere within their printed ranges.
    first, count : int
        The seeds.
    every : int
        After how many files the count is printed.

    Returns
    -------
    int
        The number of files at which something else than an answer or words came.
    """
    texts = [(DEMO / f"{name}.toml").read_text("utf-8") for name in UNITS]
    came: Counter[str] = Counter()
    faults: Counter[str] = Counter()
    start = time.process_time()
    for number, seed in enumerate(range(first, first + count), start=1):
        try:
            came += judge(WAYS[way](texts[seed % len(texts)], seed))
        except Exception as fault:
            place = traceback.extract_tb(fault.__traceback__)[-1]
            kind = f"{type(fault).__name__} in {place.name}: {fault!s:.80}"
            if kind not in faults:
                print(f"FAULT {way} {UNITS[seed % len(UNITS)]} seed {seed}: {kind}", flush=True)
                traceback.print_exc(file=sys.stdout)
            faults[kind] += 1
        if number % every == 0 or number == count:
            used = time.process_time() - start
            print(
                f"{way}: {number} files, {sum(faults.values())} faults, {used:.0f} s; {dict(came)}",
                flush=True,
            )
    for kind, times in faults.most_common():
        print(f"{times} times: {kind}")
    return sum(faults.values())
