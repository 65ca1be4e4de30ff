"""What of a cabinet and a room was asked and stands nowhere else in a record, so that a change of it is told."""

from __future__ import annotations

from stillroom.cabinet.design import Cabinet
from stillroom.room.model import Room

__all__ = ["cabinet_details", "room_details"]

Details = dict[str, float | str | None]


def cabinet_details(cabinet: Cabinet) -> Details:
    """Sizes, longest filter age, beds and shelves of a cabinet, by what they are and their unit.

    Parameters
    ----------
    cabinet : Cabinet
    """
    found: Details = {
        "Width, m": cabinet.width,
        "Depth, m": cabinet.depth,
        "Height, m": cabinet.height,
        "Air inside, m³": cabinet.air_volume,
        "Longest filter age, days": cabinet.max_age_days,
        "Passes by the seals, source": cabinet.filters.seal_bypass.source,
        "Passes by the seals, note": cabinet.filters.seal_bypass.note,
    }
    for number, bed in enumerate(cabinet.filters.beds, 1):
        found[f"Bed {number}, face area, m²"] = bed.area
        found[f"Bed {number}, medium"] = f"{bed.medium.title}, {bed.medium.version}"
    for compartment in cabinet.compartments:
        for shelf in compartment.shelves:
            litres = None if shelf.tray_volume is None else round(shelf.tray_volume * 1e3, 6)
            found |= {
                f"Shelf {compartment.key}{shelf.key}, {what}": value
                for what, value in {
                    "height, m": shelf.height,
                    "width, m": shelf.width,
                    "depth, m": shelf.depth,
                    "clear height, m": shelf.clear_height,
                    "largest load, kg": shelf.max_load,
                    "trays": shelf.trays,
                    "volume of a tray, L": litres,
                }.items()
            }
    return found


def room_details(room: Room) -> Details:
    """How sure the room's own vapours are, and where they come from.

    Parameters
    ----------
    room : Room
    """
    found: Details = {"Room's own air": "stated" if room.backgrounds_stated else "assumed, none was stated"}
    for item in room.backgrounds:
        found[f"{item.cas} in the room's air, uncertainty factor"] = item.uncertainty_factor
        found[f"{item.cas} in the room's air, source"] = item.source
    return found
