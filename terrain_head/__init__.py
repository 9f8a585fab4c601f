"""terrain_head: plan a water supply that runs without bought power.

One number travels one way through the folders of this package::

    errors  base        bad news; units, measured values, citations, covariance
    formulas            published relations
    leveling            level book        -> elevations with their doubt
    ground              elevations, raster, routes -> ground profiles
    scheme              pipes on the ground -> flows, hydraulic grade lines, pressures
    assessment search   findings, doubt, choices; where it should go
    files plots report  the only files; pictures; words
    workflows           one function for each job
    cli page            the command; the local page
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

__all__ = [
    "__version__",
    "TerrainHeadError",
    "UsageError",
    "InputError",
    "SurveyError",
    "ReductionError",
    "GroundError",
    "RangeError",
    "open_study",
    "answer_choice",
    "answer_all",
    "reduce_level_books",
    "parse_quantity",
]

_HOME = {
    "TerrainHeadError": "errors",
    "UsageError": "errors",
    "InputError": "errors",
    "SurveyError": "errors",
    "ReductionError": "errors",
    "GroundError": "errors",
    "RangeError": "errors",
    "open_study": "workflows.study",
    "answer_choice": "workflows.study",
    "answer_all": "workflows.study",
    "reduce_level_books": "workflows.reduce",
    "parse_quantity": "base.quantities",
}


def __getattr__(name: str) -> Any:  # noqa: ANN401 - a module attribute can be anything
    """Look a public name up on first use, so that importing the package costs nothing."""
    if name == "__version__":
        return import_module("importlib.metadata").version("terrain_head")
    if name in _HOME:
        return getattr(import_module(f"terrain_head.{_HOME[name]}"), name)
    raise AttributeError(f"module 'terrain_head' has no attribute {name!r}")


def __dir__() -> list[str]:
    """Return the public names."""
    return sorted(__all__)
