"""High and low points of a pipe, parted into those that are sure and those that may be error."""

from __future__ import annotations

from terrain_head.base.middle import middle_of
from terrain_head.ground.ground import Ground
from terrain_head.ground.summits import Turns, look_along
from terrain_head.scheme.layout import Pipe


def turns_of(pipe: Pipe, *, ground: Ground) -> Turns:
    """Return the high and low points of a pipe.

    Parameters
    ----------
    pipe
        The pipe in its place.
    ground
        The ground with its joint doubt.

    Returns
    -------
    Turns
        Both in the order of the flow; none where the ground between the ends is not known.
    """
    return look_along(
        pipe.profile,
        elevation_m=pipe.pipe_m,
        bore_m=middle_of(pipe.inside_m),
        covariance_of=ground.covariance_of,
    )
