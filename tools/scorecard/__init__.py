"""The models against published sets: ``python -m tools.scorecard`` writes docs/validation.md and its figures."""
