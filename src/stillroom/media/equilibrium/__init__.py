"""Isotherms, one a file."""

from stillroom.media.equilibrium import dubinin, wood_1994

__all__ = ["dubinin", "wood_1994"]
