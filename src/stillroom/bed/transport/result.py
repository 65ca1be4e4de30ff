"""What a numerical bed answers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from stillroom.bed.transport.problem import Problem

if TYPE_CHECKING:
    from stillroom.bed.transport.report import Answer, Course, Matter

__all__ = ["Curve", "Ensemble"]

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Ensemble:
    """Answers of many draws, which are the last axis."""

    vapours: tuple[str, ...]
    fractions: tuple[float, ...]
    times: Array
    """(times,) [s]"""
    outlet: Array
    """(times, vapours, draws) [mol/m³]"""
    to_ppm: Array
    """(times,) [ppm m³/mol]"""
    breakthrough: Array
    """first time at each fraction of the largest inlet, nan where never, (vapours, fractions, draws) [s]"""
    position: Array
    """middle of each cell from the face, (cells,) [m]"""
    loading: Array
    """at the end, (cells, vapours, draws) [mol/kg]"""
    fed: Array
    left: Array
    held: Array
    """at the end less at the start; each (vapours, draws) [mol]"""
    mass_balance_error: Array
    """(fed − left − held) over what was fed and there, the worst vapour, (draws,) [-]"""
    steps: NDArray[np.int64]
    """taken and refused, (2, draws)"""

    @classmethod
    def of(cls, problem: Problem, course: Course, matter: Matter, answer: Answer, begin: Array) -> Ensemble:
        """From what the march wrote.

        Parameters
        ----------
        problem, course, matter, answer : Problem, Course, Matter, Answer
            Asked and answered.
        begin : ndarray, shape (draws, cells, vapours)
            Loading at the start [mol/kg].
        """
        mass = matter.mass[:, :, None] * problem.area
        before, after = ((mass * loading).sum(axis=1) for loading in (begin, answer.loading))
        fed, left = answer.fed * problem.area, answer.left * problem.area
        there = np.maximum(fed + before, 1e-300)
        wrong = np.abs(fed + before - left - after) / there
        ends = np.cumsum(matter.depth)
        piece = np.clip(np.searchsorted(course.time, answer.time) - 1, 0, course.thermal.size - 1)
        return cls(
            vapours=problem.vapours,
            fractions=problem.fractions,
            times=answer.time,
            outlet=np.moveaxis(answer.outlet, 0, -1),
            to_ppm=course.thermal[piece] / problem.pressure * 1e6,
            breakthrough=np.moveaxis(answer.reached, 0, -1) - course.time[0],
            position=ends - 0.5 * matter.depth,
            loading=np.moveaxis(answer.loading, 0, -1),
            fed=fed.T,
            left=left.T,
            held=(after - before).T,
            mass_balance_error=wrong.max(axis=1),
            steps=answer.steps[:, :2].T,
        )

    def curve(self, draw: int = 0) -> Curve:
        """One of the draws.

        Parameters
        ----------
        draw : int
            Which [-].
        """
        hours = self.breakthrough[..., draw] / 3600.0
        return Curve(
            vapours=self.vapours,
            times=self.times,
            outlet=self.outlet[..., draw],
            outlet_ppm=self.outlet[..., draw] * self.to_ppm[:, None],
            breakthrough_h={
                cas: {
                    fraction: None if np.isnan(hours[i, k]) else float(hours[i, k])
                    for k, fraction in enumerate(self.fractions)
                }
                for i, cas in enumerate(self.vapours)
            },
            position=self.position,
            loading=self.loading[..., draw],
            fed=self.fed[:, draw],
            left=self.left[:, draw],
            held=self.held[:, draw],
            mass_balance_error=float(self.mass_balance_error[draw]),
            steps=int(self.steps[0, draw]),
        )


@dataclass(frozen=True, slots=True)
class Curve:
    """One bed's outlet in time and its loading at the end."""

    vapours: tuple[str, ...]
    times: Array
    """(times,) [s]"""
    outlet: Array
    """(times, vapours) [mol/m³]"""
    outlet_ppm: Array
    """(times, vapours) [ppm] of the air's pressure and temperature by then"""
    breakthrough_h: dict[str, dict[float, float | None]]
    """cas -> fraction of its largest inlet -> hours from the start, None where it is not reached"""
    position: Array
    """middle of each cell from the face, (cells,) [m]"""
    loading: Array
    """at the end, (cells, vapours) [mol/kg]"""
    fed: Array
    left: Array
    held: Array
    """at the end less at the start; each (vapours,) [mol]"""
    mass_balance_error: float
    """(fed − left − held) over what was fed and there, the worst vapour [-]"""
    steps: int

    def as_csv(self) -> str:
        """`time_h` and an outlet column in ppm for each CAS number."""
        lines = [",".join(("time_h", *self.vapours))]
        lines += [
            ",".join(f"{value:.9g}" for value in (time / 3600.0, *row))
            for time, row in zip(self.times, self.outlet_ppm, strict=True)
        ]
        return "\n".join(lines) + "\n"

    def as_json(self) -> dict[str, Any]:
        """Breakthroughs, amounts and the balance, ready for JSON."""
        return {
            "breakthrough_h": {
                cas: {f"{fraction:g}": hours for fraction, hours in found.items()}
                for cas, found in self.breakthrough_h.items()
            },
            "mass_balance_error": self.mass_balance_error,
            "largest_outlet_ppm": dict(zip(self.vapours, self.outlet_ppm.max(axis=0).tolist(), strict=True)),
            "fed_mol": dict(zip(self.vapours, self.fed.tolist(), strict=True)),
            "left_mol": dict(zip(self.vapours, self.left.tolist(), strict=True)),
            "held_mol": dict(zip(self.vapours, self.held.tolist(), strict=True)),
            "cells": len(self.position),
            "steps": self.steps,
        }
