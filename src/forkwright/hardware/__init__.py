"""What a unit IS: forks and shocks as validated, immutable data, their settings, the rider and the bike.

Files are read and written here, with errors that name the line. No formula beyond an area or a volume. In
what order to read it:

- `fields`: what every table of a file is made of, quantities within a range;
- `unit` and what it holds: `parts`, `air_spring`, `damper`, `valves`, `discs`, `setting`;
- `people`, `leverage`: rider, bike and linkage; `leverage_table` reads a linkage from a spreadsheet;
- what cannot be: `faults` (one type, and every fault in words), `unit_faults`, `damper_faults`, `limits`;
- files: `files` reads and writes, by way of `locate` (lines), `upgrade` (older formats) and `toml_text`
  (comments kept); `stack` and `drawer` are files of shims alone;
- `shim_parts` hands a stack to the solver, `draws` replaces measures or draws them within their tolerances.
"""

from forkwright.hardware.draws import cut, drawn, measures, quantities, replaced
from forkwright.hardware.files import examine, load, load_unit, read_text, save
from forkwright.hardware.limits import check_setting, stated_setting, with_setting
from forkwright.hardware.people import Bike, Rider
from forkwright.hardware.setting import Setting
from forkwright.hardware.toml_text import to_text, updated_text
from forkwright.hardware.unit import Unit

__all__ = [
    "Bike",
    "Rider",
    "Setting",
    "Unit",
    "check_setting",
    "cut",
    "drawn",
    "examine",
    "load",
    "load_unit",
    "measures",
    "quantities",
    "read_text",
    "replaced",
    "save",
    "stated_setting",
    "to_text",
    "updated_text",
    "with_setting",
]
