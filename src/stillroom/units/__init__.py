"""SI inside, the user's units at the edge."""

from stillroom.units.convert import (
    GAS_CONSTANT,
    STANDARD_PRESSURE,
    STANDARD_TEMPERATURE,
    mg_m3_to_ppm,
    molar_volume,
    ppm_to_mg_m3,
)
from stillroom.units.quantity import (
    DecimalMark,
    Quantity,
    QuantityError,
    parse_number,
    parse_quantity,
    parse_unit,
    show,
)

__all__ = [
    "GAS_CONSTANT",
    "STANDARD_PRESSURE",
    "STANDARD_TEMPERATURE",
    "DecimalMark",
    "Quantity",
    "QuantityError",
    "mg_m3_to_ppm",
    "molar_volume",
    "parse_number",
    "parse_quantity",
    "parse_unit",
    "ppm_to_mg_m3",
    "show",
]
