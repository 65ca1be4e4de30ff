"""Stillroom: what may be kept in a recirculating filtered storage cabinet, for how long, and the proof.

Nothing happens on import. Ask a room: ``stillroom.inventory`` reads what is to be stored,
``stillroom.assessment`` decides, ``stillroom.services`` does a whole job with papers.
"""

__version__ = "0.1.0"
__all__ = ["__version__"]
