"""What a unit IS: forks and shocks as validated, immutable data, their settings, the rider and the bike.

Files are read and written here, with errors that name the line. No formula beyond an area or a volume.
"""

from forkwright.hardware.draws import cut, drawn, measures, quantities, replaced
from forkwright.hardware.files import examine, load, load_unit, read_text, save, to_text, updated_text
from forkwright.hardware.limits import check_setting, with_setting
from forkwright.hardware.people import Bike, Rider
from forkwright.hardware.setting import Setting
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
    "to_text",
    "updated_text",
    "with_setting",
]
