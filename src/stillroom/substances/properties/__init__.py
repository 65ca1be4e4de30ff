"""Physical properties of the pure substance: a quantity a file; each value has its source or reason."""

from __future__ import annotations

from functools import cache

from stillroom.substances.kin import kin_of
from stillroom.substances.model import Properties
from stillroom.substances.properties.constants import boiling_point, melting_point, molar_mass, phase
from stillroom.substances.properties.density import girolami_density, liquid_density
from stillroom.substances.properties.diffusivity import (
    diffusion_volume,
    diffusivity_in_air,
    fuller,
    fuller_diffusivity,
)
from stillroom.substances.properties.estimates import fugacity_ratio, grain, simpol_bound
from stillroom.substances.properties.fire import flash_point, jones_lower_limit, lower_flammable_limit
from stillroom.substances.properties.involatile import is_involatile
from stillroom.substances.properties.ionisation import ionisation_energy
from stillroom.substances.properties.polarisability import (
    lorentz_lorenz,
    molar_polarisability,
    refractive_index,
)
from stillroom.substances.properties.representatives import of_deuterated, representative, standing_for
from stillroom.substances.properties.saturation import heat_of_vaporisation, saturation_pressure

__all__ = [
    "boiling_point",
    "diffusion_volume",
    "diffusivity_in_air",
    "flash_point",
    "fugacity_ratio",
    "fuller",
    "fuller_diffusivity",
    "girolami_density",
    "grain",
    "heat_of_vaporisation",
    "ionisation_energy",
    "is_involatile",
    "jones_lower_limit",
    "liquid_density",
    "lorentz_lorenz",
    "lower_flammable_limit",
    "melting_point",
    "molar_mass",
    "molar_polarisability",
    "phase",
    "properties",
    "refractive_index",
    "representative",
    "saturation_pressure",
    "simpol_bound",
]


@cache
def properties(cas: str, *, temperature: float = 295.15) -> Properties:
    """All that is known of a pure substance at one temperature.

    Parameters
    ----------
    cas : str
        CAS number.
    temperature : float
        Temperature [K].

    Returns
    -------
    Properties
        Each field `Sourced`, or `Missing` with its reason. An unknown CAS number gives every field `Missing`.

    Notes
    -----
    Validity: 250–330 K. The pure substance: the vapour over an aqueous solution of ammonia, hydrogen
    chloride or formaldehyde has nothing to do with it.

    Examples
    --------
    Iodine at 25 °C: 41 Pa over the solid (Gillespie & Fraser 1936: 0.31 mmHg).

    >>> round(properties("7553-56-2", temperature=298.15).saturation_pressure.value)
    41
    """
    stands = representative(cas)
    if stands:
        return standing_for(cas, properties(stands, temperature=temperature))
    kin = kin_of(cas)
    if kin is not None and kin.kind == "deuterated":
        return of_deuterated(kin, properties(kin.parent, temperature=temperature), molar_mass(cas))
    return Properties(
        cas=cas,
        temperature=temperature,
        molar_mass=molar_mass(cas),
        saturation_pressure=saturation_pressure(cas, temperature=temperature),
        liquid_density=liquid_density(cas, temperature=temperature),
        boiling_point=boiling_point(cas),
        melting_point=melting_point(cas),
        molar_polarisability=molar_polarisability(cas),
        diffusivity_in_air=diffusivity_in_air(cas, temperature=temperature),
        lower_flammable_limit=lower_flammable_limit(cas),
        flash_point=flash_point(cas),
        ionisation_energy=ionisation_energy(cas),
        phase=phase(cas, temperature=temperature),
    )
