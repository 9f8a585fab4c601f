"""Something the person must know although the work went on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from terrain_head.base.citation import Citation

Severity = Literal["fine", "care", "stop"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Where:
    """Where a finding stands; what does not apply is None. Station in metres from the start."""

    pipe: str | None = None
    station_m: float | None = None
    place: str | None = None
    outlet: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One finding. It holds no sentence: `terrain_head.report.words` makes it.

    Parameters
    ----------
    kind
        A fixed key; docs/findings.md lists them all.
    severity
        ``fine``, ``care`` or ``stop``.
    value, limit
        The number found and the limit it met, SI, in `unit`; None where there is none.
    unit
        JSON unit of both: "m", "kPa", "1" ... (values are converted at the door).
    values
        Further numbers of the sentence, SI, by name.
    texts
        Further words of the sentence (names), by name.
    source
        Where the limit is published.
    where
        Where it stands.
    """

    kind: str
    severity: Severity
    value: float | None = None
    limit: float | None = None
    unit: str = "1"
    values: Mapping[str, float] = field(default_factory=dict)
    texts: Mapping[str, str] = field(default_factory=dict)
    source: Citation | None = None
    where: Where = Where()
