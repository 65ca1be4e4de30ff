"""Published vapour and sublimation pressure curves of a substance, each with its book and its range."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache
from typing import Any, NamedTuple

from stillroom.substances.properties.tables import row

__all__ = ["Curve", "extend", "liquid_curves", "pick", "solid_curves"]


class Curve(NamedTuple):
    """A correlation of pressure [Pa] with temperature [K], and the range [K] in which its book states it."""

    source: str
    method: str
    low: float
    high: float
    pressure: Callable[[float], float]

    def covers(self, temperature: float) -> bool:
        """Whether the range holds it.

        Parameters
        ----------
        temperature : float
            [K]
        """
        return self.low <= temperature <= self.high

    def distance(self, temperature: float) -> float:
        """How far outside the range [K]; 0 inside.

        Parameters
        ----------
        temperature : float
            [K]
        """
        return max(self.low - temperature, temperature - self.high, 0.0)


def _antoine_ln(numbers: dict[str, float], prefix: str = "") -> Callable[[float], float]:
    """ln(p/Pa) = A − B/(T/K + C)."""
    a, b, c = (numbers[prefix + letter] for letter in "ABC")
    return lambda temperature: math.exp(a - b / (temperature + c))


def _antoine_log10(numbers: dict[str, float]) -> Callable[[float], float]:
    """log10(p/Pa) = A − B/(T/K + C)."""
    a, b, c = (numbers[letter] for letter in "ABC")
    return lambda temperature: 10.0 ** (a - b / (temperature + c))


def _wagner(numbers: dict[str, float], powers: tuple[float, float]) -> Callable[[float], float]:
    """ln(p/pc) = (A τ + B τ^1.5 + C τ^m + D τ^n)/Tr, τ = 1 − Tr; (m, n) = (3, 6) or (2.5, 5)."""
    a, b, c, d, critical, pressure = (numbers[name] for name in ("A", "B", "C", "D", "Tc", "Pc"))

    def curve(temperature: float) -> float:
        tau = 1.0 - temperature / critical
        if tau <= 0:
            return math.nan
        series = a * tau + b * tau**1.5 + c * tau ** powers[0] + d * tau ** powers[1]
        return pressure * math.exp(series / (temperature / critical))

    return curve


def _dippr101(numbers: dict[str, float], names: str | tuple[str, ...]) -> Callable[[float], float]:
    """ln(p/Pa) = C1 + C2/T + C3 ln T + C4 T^C5."""
    c1, c2, c3, c4, c5 = (numbers.get(name, 0.0) for name in names)
    return lambda temperature: math.exp(
        c1 + c2 / temperature + c3 * math.log(temperature) + c4 * temperature**c5
    )


@cache
def liquid_curves(cas: str) -> tuple[Curve, ...]:
    """Vapour pressure curves of the liquid, preferred books first."""
    from chemicals import miscdata
    from chemicals import vapor_pressure as tables

    tables.load_vapor_pressure_dfs()
    found: list[Curve] = []

    def add(
        table: Any,
        source: str,
        method: str,
        make: Callable[[dict[str, float]], Callable[[float], float]],
        low: str = "Tmin",
        high: str = "Tmax",
    ) -> None:
        numbers = row(table, cas)
        if low in numbers and high in numbers:
            found.append(Curve(source, method, numbers[low], numbers[high], make(numbers)))

    add(tables.Psat_data_WagnerPoling, "poling-2001", "Wagner (2.5, 5)", lambda n: _wagner(n, (2.5, 5.0)))
    add(
        tables.Psat_data_WagnerMcGarry,
        "mcgarry-1983",
        "Wagner (3, 6)",
        lambda n: _wagner(n, (3.0, 6.0)),
        high="Tc",
    )
    add(tables.Psat_data_AntoinePoling, "poling-2001", "Antoine", _antoine_log10)
    add(
        tables.Psat_data_VDI_PPDS_3,
        "vdi-2010",
        "Wagner (2.5, 5)",
        lambda n: _wagner(n, (2.5, 5.0)),
        "Tm",
        "Tc",
    )
    add(
        tables.Psat_data_Perrys2_8,
        "perry-2007",
        "Table 2-8",
        lambda n: _dippr101(n, ("C1", "C2", "C3", "C4", "C5")),
    )
    add(tables.Psat_data_Landolt_Antoine, "landolt-hall", "Antoine", _antoine_ln)
    add(tables.Psat_data_Alcock_elements, "alcock-1984", "liquid element", lambda n: _dippr101(n, "ABCDE"))
    if "AntoineA" in row(miscdata.webbook_data, cas):
        add(
            miscdata.webbook_data,
            "nist-webbook",
            "Antoine",
            lambda n: _antoine_ln(n, "Antoine"),
            "AntoineTmin",
            "AntoineTmax",
        )
    return tuple(found)


@cache
def solid_curves(cas: str) -> tuple[Curve, ...]:
    """Sublimation pressure curves, preferred books first."""
    from chemicals import vapor_pressure as tables

    tables.load_vapor_pressure_dfs()  # asked for by name alone, the sublimation tables are not loaded
    found = []
    numbers = row(tables.Psub_data_Landolt_Antoine, cas)
    if numbers:
        found.append(
            Curve("landolt-hall", "Antoine, solid", numbers["Tmin"], numbers["Tmax"], _antoine_ln(numbers))
        )
    numbers = row(tables.Psub_data_Alcock_elements, cas)
    if numbers:
        found.append(
            Curve(
                "alcock-1984", "solid element", numbers["Tmin"], numbers["Tmax"], _dippr101(numbers, "ABCDE")
            )
        )
    return tuple(found)


def slope(curve: Curve, temperature: float) -> float:
    """−d ln p / d(1/T) [K]: the heat of vaporisation or sublimation over R, vapour ideal.

    Parameters
    ----------
    curve : Curve
        The correlation.
    temperature : float
        Temperature [K], inside the curve's range or at its end.
    """
    step = 1e-3 * temperature
    below = max(temperature - step, curve.low)
    above = min(temperature + step, curve.high * (1 - 1e-9))
    return math.log(curve.pressure(above) / curve.pressure(below)) / (1 / below - 1 / above)


def extend(curve: Curve, *, temperature: float) -> float:
    """Pressure [Pa] on the curve; beyond its range on the line of ln p against 1/T from the nearer end.

    Parameters
    ----------
    curve : Curve
        The correlation.
    temperature : float
        Temperature [K].

    Notes
    -----
    Clausius–Clapeyron with the heat at the end of the range. Below the range of a liquid the true curve is
    steeper, so that the line errs towards too high a pressure.
    """
    if curve.covers(temperature):
        return curve.pressure(temperature)
    end = curve.low if temperature < curve.low else curve.high * (1 - 1e-6)
    return curve.pressure(end) * math.exp(-slope(curve, end) * (1 / temperature - 1 / end))


def pick(curves: tuple[Curve, ...], *, temperature: float) -> tuple[Curve, float, float] | None:
    """The curve used at `temperature`, its pressure [Pa], and the largest ratio of any two curves [-].

    Of those that cover the temperature the middle one by pressure is taken (one table's slip cannot win,
    and no two sources are merged); of two, the preferred; where none covers it, the one whose range ends
    nearest.

    Parameters
    ----------
    curves : tuple of Curve
        Preferred first.
    temperature : float
        Temperature [K].
    """
    inside = [(curve, curve.pressure(temperature)) for curve in curves if curve.covers(temperature)]
    inside = [(curve, value) for curve, value in inside if math.isfinite(value) and value > 0]
    if len(inside) >= 3:
        ordered = sorted(inside, key=lambda item: item[1])
        curve, value = ordered[(len(ordered) - 1) // 2]
        return curve, value, ordered[-1][1] / ordered[0][1]
    if inside:
        values = [value for _, value in inside]
        return *inside[0], max(values) / min(values)
    if not curves:
        return None
    nearest = min(curves, key=lambda curve: curve.distance(temperature))
    return nearest, extend(nearest, temperature=temperature), 1.0
