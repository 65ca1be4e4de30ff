"""What a recirculating cabinet saves, as one JSON document."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from stillroom import economics

__all__ = ["savings"]


def savings(case: economics.Case, *, seed: int = 1, draws: int = 2000) -> dict[str, Any]:
    """The year's energy and money of a comparison, each as its 5, 50 and 95 % points.

    Parameters
    ----------
    case : economics.Case
    seed : int
        Of the draws [-].
    draws : int
        Number of draws [-].
    """
    answer = economics.savings(case, seed=seed, draws=draws)
    return {
        "schema": "stillroom-savings/1",
        "name": case.name,
        "invented": case.invented,
        "flow_m3_h": case.flow * 3600.0,
        "running_hours": case.running_hours,
        "currency": case.prices.currency,
        "cooling_kWh": _span(answer.cooling),
        "heating_kWh": _span(answer.heating),
        "electricity_saved_kWh": _span(answer.electricity),
        "heat_saved_kWh": _span(answer.heat),
        "ducted_per_year": _span(answer.ducted),
        "filtered_per_year": _span(answer.filtered),
        "saved_per_year": _span(answer.saved),
        "chance_that_it_saves": float(np.mean(answer.saved > 0.0)),
        "parts": {name: _span(part) for name, part in answer.parts.items()},
        "assumptions": list(answer.assumptions),
        "sources": [
            "ASHRAE Handbook—Fundamentals, chapter Psychrometrics (moist air, coil balances)",
            case.climate.source,
        ],
    }


def _span(values: NDArray[np.float64]) -> dict[str, float]:
    low, middle, high = np.quantile(values, (0.05, 0.5, 0.95))
    return {"p05": float(low), "p50": float(middle), "p95": float(high)}
