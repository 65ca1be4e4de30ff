"""Rate coefficients of a packed bed, one resistance or correlation a file; `rate` and `parts` put the resistances together."""

from stillroom.media.kinetics import dispersion, film, pores, surface, wood_lodewyckx, wood_stampfer
from stillroom.media.kinetics.resistances import Parts, parts, rate

__all__ = [
    "Parts",
    "dispersion",
    "film",
    "parts",
    "pores",
    "rate",
    "surface",
    "wood_lodewyckx",
    "wood_stampfer",
]
