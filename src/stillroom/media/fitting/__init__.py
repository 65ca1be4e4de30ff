"""Fit a medium to measured points, and answer from the fit: `read_points`, `dumps`, `loads`, `answer`; `prior` where nobody measured."""

from stillroom.media.fitting.answer import Answers, answer
from stillroom.media.fitting.file import dumps, loads
from stillroom.media.fitting.hierarchical import Posterior, fit
from stillroom.media.fitting.points import Points, read_points
from stillroom.media.fitting.prior import prior

__all__ = ["Answers", "Points", "Posterior", "answer", "dumps", "fit", "loads", "prior", "read_points"]
