"""The file of an invented medium, as the tests of this room vary it."""

from __future__ import annotations

__all__ = ["medium_file"]

VOLUME = """[micropore_volume_cm3_g]
p05 = 0.4
p50 = 0.45
p95 = 0.5
"""
_REST = """[characteristic_energy_kJ_mol]
p05 = 18
p50 = 20
p95 = 22
[bulk_density_kg_m3]
p05 = 450
p50 = 480
p95 = 510
[grain_diameter_mm]
p05 = 1.2
p50 = 1.5
p95 = 2.0
"""


def medium_file(more: str = "", *, volume: str = VOLUME) -> str:
    """A whole file; `more` before its tables, `volume` in place of its pore volume's."""
    return f'\nname = "ours"\ntitle = "Invented for this test"\n{more}\n{volume}{_REST}'
