"""What a recirculating cabinet saves against a ducted one of the same flow: numbers in, numbers out."""

from stillroom.economics.climate import Climate, Month, read_climate
from stillroom.economics.conditioning import Demand, demand
from stillroom.economics.load import load_case, parse_case
from stillroom.economics.model import Case, Ducted, Filtered, Plant, Prices, Room
from stillroom.economics.savings import Savings, savings

__all__ = [
    "Case",
    "Climate",
    "Demand",
    "Ducted",
    "Filtered",
    "Month",
    "Plant",
    "Prices",
    "Room",
    "Savings",
    "demand",
    "load_case",
    "parse_case",
    "read_climate",
    "savings",
]
