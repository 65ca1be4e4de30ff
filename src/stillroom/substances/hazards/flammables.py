"""Flammable liquids: categories of 29 CFR 1910.106(a)(19) and the most that one cabinet may hold, (d)(3)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from stillroom.substances.hazards.structure import boiling_point
from stillroom.substances.hazards.tables import by_cas

__all__ = [
    "FlammableLimit",
    "category",
    "flammable_category",
    "flammable_limits",
    "flammables_check",
    "flash_point",
    "known_without_flash_point",
]

US_GALLON = 3.785411784
"""[L], NIST SP 811 (2008), Appendix B.8"""
AMBIENT = 298.15
"""[K] a substance that melts above is a solid, to which 1910.106 does not apply"""


@dataclass(frozen=True, slots=True)
class FlammableLimit:
    """The most that one storage cabinet may hold of some categories together."""

    categories: tuple[str, ...]
    litres: float
    """[L]"""
    printed: str
    source: str
    locator: str


def category(*, flash_point: float, boiling_point: float | None) -> str:
    """Category "1" to "4" of a flammable liquid, or empty above 93 °C.

    Parameters
    ----------
    flash_point : float
        Closed-cup flash point [K].
    boiling_point : float or None
        Normal boiling point [K]; None counts as above 35 °C.

    Notes
    -----
    29 CFR 1910.106(a)(19) [osha-1910-106]: 1: flash point below 23 °C, boiling point at or below 35 °C;
    2: below 23 °C, above 35 °C; 3: 23 °C to 60 °C; 4: above 60 °C to 93 °C.

    Examples
    --------
    >>> category(flash_point=228.15, boiling_point=307.8)  # diethyl ether: category 1
    '1'
    """
    celsius = flash_point - 273.15
    if celsius < 23:
        return "1" if boiling_point is not None and boiling_point - 273.15 <= 35 else "2"
    if celsius <= 60:
        return "3"
    return "4" if celsius <= 93 else ""


def flash_point(cas: str) -> float | None:
    """Flash point of a liquid [K]: our table, then the property library; None for solids and unknowns."""
    row = by_cas("flash_points").get(cas)
    if row:
        return float(row["flash_C"]) + 273.15 if row["flash_C"] else None
    from chemicals import Tm
    from chemicals.safety import T_flash

    melting, value = Tm(cas), T_flash(cas)
    if melting and melting > AMBIENT:
        return None
    return float(value) if value else None


def known_without_flash_point(cas: str) -> bool:
    """Whether our table says that the liquid has no flash point; unknown is not known to have none.

    Parameters
    ----------
    cas : str
        CAS number.
    """
    row = by_cas("flash_points").get(cas)
    return row is not None and not row["flash_C"]


def flammable_category(cas: str, *, mass_fraction: float | None = 1.0) -> str:
    """Category of the liquid by 29 CFR 1910.106(a)(19), empty where it is no flammable liquid.

    Parameters
    ----------
    cas : str
        CAS number.
    mass_fraction : float or None
        Mass fraction in water [-]. Below `dilute` of our table (5 % unless it says otherwise) the mixture
        does not burn and the answer is empty; anything above keeps the category of the pure liquid
        (cautious).
    """
    row = by_cas("flash_points").get(cas)
    point = flash_point(cas)
    if point is None:
        return ""
    dilute = float(row["dilute"]) if row and row["dilute"] else 0.05
    if mass_fraction is not None and mass_fraction < dilute:
        return ""
    boiling = float(row["boiling_C"]) + 273.15 if row and row["boiling_C"] else boiling_point(cas)
    return category(flash_point=point, boiling_point=boiling)


def flammable_limits() -> tuple[FlammableLimit, ...]:
    """What one storage cabinet may hold by 29 CFR 1910.106(d)(3)(i) [L]."""
    where = "1910.106(d)(3)(i)"
    return (
        FlammableLimit(("1", "2", "3"), 60 * US_GALLON, "60 US gallons", "osha-1910-106", where),
        FlammableLimit(("4",), 120 * US_GALLON, "120 US gallons", "osha-1910-106", where),
    )


def flammables_check(
    containers: Iterable[tuple[str, float, float | None]],
    *,
    limits: tuple[FlammableLimit, ...] | None = None,
) -> tuple[bool, str]:
    """Whether the flammable liquids of one cabinet stay within the site's rule, and the words for the record.

    Parameters
    ----------
    containers : iterable of (cas, litres [L], mass fraction [-] or None)
        One entry a container, or a sum.
    limits : tuple of FlammableLimit, optional
        The site's own rule; 29 CFR 1910.106(d)(3)(i) where not given.

    Examples
    --------
    >>> flammables_check([("67-64-1", 230.0, 1.0)])[0]  # more than 60 US gallons of category 2
    False
    """
    limits = flammable_limits() if limits is None else limits
    held = list(containers)
    words, ok = [], True
    for limit in limits:
        total = sum(
            litres
            for cas, litres, fraction in held
            if flammable_category(cas, mass_fraction=fraction) in limit.categories
        )
        ok = ok and total <= limit.litres
        which = "category " + ", ".join(limit.categories)
        verdict = "within" if total <= limit.litres else "beyond"
        words.append(
            f"flammable liquids of {which}: {total:.3g} L, {verdict} the {limit.litres:.0f} L "
            f"({limit.printed}, {limit.locator})"
        )
    return ok, "; ".join(words)
