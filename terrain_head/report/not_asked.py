"""Why a question was left open: one sentence for each key that the solver hands over."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from terrain_head.assessment.answer import Answer
from terrain_head.report.speech import listed

_LONE: Mapping[str, str] = {
    "source": "No source is named, so there is no fall and no water to tell.",
    "flow": "The spring's flow is not given, so the water a day can't be told.",
    "tank": "No tank is named.",
    "outlets": "No outlets are named, so no pressure was worked out.",
    "ram.efficiency": "Nothing gives the ram's efficiency: measure it, or say how it was built.",
    "ram.beyond": (
        "Lift and fall are beyond the published efficiencies, so no water was worked out; "
        "a measured efficiency would tell."
    ),
}
_NAMED: Mapping[tuple[str, str], str] = {
    ("pipe", ""): "There is no pipe '{name}', so nothing arrives by it.",
    ("pipe", "spec"): "No pipe is chosen for '{name}'.",
    ("pipe", "length"): "The pipe '{name}' has no length, and no route or map gives its way.",
    ("pipe", "outlet"): "The pipe '{name}' leads to no outlet.",
    ("tank", "volume"): "Neither the diameter nor the volume of {tank} is given.",
    ("outlet", "pipe"): "No pipe comes to {name}, so no water does.",
    ("outlet", "flow"): "What {name} draws is not given.",
    ("outlet", "pressure"): "What pressure {name} needs is not given.",
}


def not_asked_text(key: str) -> str:
    """Return why a question was not answered, in one sentence.

    Parameters
    ----------
    key
        One of the key words of `terrain_head.scheme.solution.Solution`.

    Examples
    --------
    >>> not_asked_text("pipe.beds.spec")
    "No pipe is chosen for 'beds'."
    """
    if key in _LONE:
        return _LONE[key]
    subject, _, rest = key.partition(".")
    name, _, what = rest.rpartition(".")
    if (subject, what) not in _NAMED or (not name and subject != "tank"):
        name, what = rest, ""
    words = _NAMED.get((subject, what), "Not worked out for want of data: " + key + ".")
    tank = f"the tank '{name}'" if name else "the tank"
    return words.format(name=name, tank=tank)


def not_asked_texts(keys: Sequence[str]) -> list[str]:
    """Return the sentences of many keys; the same want of several pipes is said once.

    Examples
    --------
    >>> not_asked_texts(("pipe.a.spec", "flow", "pipe.b.spec"))[0]
    "No pipe is chosen for 'a' and 'b'."
    """
    unchosen = [key[5:-5] for key in keys if key.startswith("pipe.") and key.endswith(".spec")]
    texts: list[str] = []
    for key in keys:
        if key.startswith("pipe.") and key.endswith(".spec"):
            if unchosen:
                names = listed([f"'{name}'" for name in unchosen])
                texts.append(f"No pipe is chosen for {names}.")
                unchosen = []
        else:
            texts.append(not_asked_text(key))
    return texts


def not_asked_of(answer: Answer) -> list[str]:
    """Return the sentences of what one choice leaves open, each with its real reason.

    Parameters
    ----------
    answer
        One choice of one study. Where its ram is described, the published efficiencies do not
        reach; where water runs to the outlets by itself, no tank is wanted.
    """
    ram = answer.layout.ram
    told = ram is not None and (ram.built is not None or ram.efficiency is not None)
    straight = ram is None and bool(answer.layout.outlets)
    keys = [
        "ram.beyond" if told and key == "ram.efficiency" else key
        for key in answer.not_asked
        if not (straight and key == "tank")
    ]
    return not_asked_texts(keys)
