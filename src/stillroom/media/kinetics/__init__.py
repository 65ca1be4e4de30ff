"""Rate coefficients of a packed bed, one correlation a file."""

from stillroom.media.kinetics import film, pores, wood_lodewyckx, wood_stampfer

__all__ = ["film", "pores", "wood_lodewyckx", "wood_stampfer"]
