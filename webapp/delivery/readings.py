"""Delivery numbers as people write them: speeds in a unit named beside them, angles in degrees, spin in rpm.

Knows the fields of facts.py and the factors of units.py; nothing of forms, files or pages.
"""

from collections.abc import Mapping

from ..facts import DELIVERY
from ..units import SPEED_BESIDE, SPEED_NAMES, from_mps, to_mps

_SPEED = "_mps"
# What a form's field or a table's column is called, and the field of a shot it stands for.
FIELD_OF = {name.removesuffix(_SPEED): name for name in DELIVERY}
# What a number that is no speed is counted in where it is no angle, as it stands beside its box.
UNIT_OF = {"spin_rpm": "rpm"}


def is_speed(column: str) -> bool:
    """Whether a column means nothing without a unit of speed."""
    return FIELD_OF[column].endswith(_SPEED)


def to_stored(column: str, value: float, speed_unit: str) -> float:
    """What is kept of a number typed in `column`: a speed in m/s, everything else as it stands."""
    return to_mps(value, speed_unit) if is_speed(column) else value


def from_stored(column: str, stored: float, speed_unit: str) -> float:
    """A kept number as it is read in `column`, speeds in `speed_unit`."""
    return from_mps(stored, speed_unit) if is_speed(column) else stored


def words(delivery: Mapping[str, float | None], unit: str) -> str:
    """The delivery numbers of a ball: "club speed 62.1 mph, attack −4.2°, spin 7100 rpm"; speeds go with `unit`."""
    found = []
    for name, field in DELIVERY.items():
        value = delivery.get(name)
        if value is None:
            continue
        if name.endswith(_SPEED):
            told = f"{from_mps(value, SPEED_BESIDE[unit]):.1f} {SPEED_NAMES[SPEED_BESIDE[unit]]}"
        else:
            told = f"{value:.0f} rpm" if name.endswith("_rpm") else f"{value:.1f}°"
        found.append(f"{field.label} {told.replace('-', '−')}")
    return ", ".join(found)
