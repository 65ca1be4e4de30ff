"""The tables. Each row that a customer owns names its organisation; each write goes through `records.trail`."""

from stillroom.records.models.cabinets import Cabinet, FilterChange
from stillroom.records.models.cases import (
    Assessment,
    CabinetDefinition,
    Definition,
    Review,
    RoomDefinition,
    StoredFile,
    Validation,
    Withdrawal,
    make_label_token,
)
from stillroom.records.models.feeds import CalendarAddress
from stillroom.records.models.people import (
    Installation,
    Membership,
    Organisation,
    Owned,
    User,
    make_key,
)
from stillroom.records.models.trail import Checkpoint, Event
from stillroom.records.models.visits import Calibration, Instrument, Point, Reading, Series, Strike, Visit

__all__ = [
    "Assessment",
    "Cabinet",
    "CabinetDefinition",
    "CalendarAddress",
    "Calibration",
    "Checkpoint",
    "Definition",
    "Event",
    "FilterChange",
    "Installation",
    "Instrument",
    "Membership",
    "Organisation",
    "Owned",
    "Point",
    "Reading",
    "Review",
    "RoomDefinition",
    "Series",
    "StoredFile",
    "Strike",
    "User",
    "Validation",
    "Visit",
    "Withdrawal",
    "make_key",
    "make_label_token",
]
