"""Why a question was left open: one sentence for each key that a solver hands over."""

from __future__ import annotations

from collections.abc import Mapping

_LONE: Mapping[str, str] = {
    "fall": "Without a source and a ram there is no fall to tell.",
    "lift": "Where the delivery pipe ends is not known, so the lift can't be told.",
    "water": "The spring's flow is not given, so the water a day can't be told.",
    "efficiency": "Nothing gives the ram's efficiency: measure it, or say how it is built.",
    "pressures": "No outlet is named, so no pressure was worked out.",
    "costs": "No costs are given.",
}
_NAMED: Mapping[str, str] = {
    "pipe": "No pipe is chosen for '{name}'.",
    "flow": "What '{name}' draws is not given.",
    "outlet": "No pipe leads to '{name}', or its flow is not given.",
    "volume": "Neither diameter nor volume of '{name}' is given.",
    "ground": "The ground along '{name}' is not known between its ends.",
}


def not_asked_text(key: str) -> str:
    """Return why a question was not answered, in one sentence.

    Parameters
    ----------
    key
        ``subject`` or ``subject:name``.

    Examples
    --------
    >>> not_asked_text("pipe:beds")
    "No pipe is chosen for 'beds'."
    """
    subject, _, name = key.partition(":")
    if name and subject in _NAMED:
        return _NAMED[subject].format(name=name)
    if subject in _LONE:
        return _LONE[subject]
    return f"Not worked out for want of data: {key.replace('_', ' ').replace(':', ' of ')}."
