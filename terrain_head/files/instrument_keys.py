"""The keys of ``[ground.instrument]`` and of the two-peg test in it."""

from __future__ import annotations

from terrain_head.files.study_key import Key, Keys, Kind, pair_key, size_key, text_key

INSTRUMENT: Keys = {
    "kind": Key(
        kind=Kind.WORD,
        meaning="what it is",
        left_out="refused",
        example='"optical level"',
        words=("optical level", "rotating laser"),
        required=True,
    ),
    "accuracy": text_key(
        "as printed on its box",
        "the line of sight is taken as level",
        example="10 arcsec",
    ),
    "read_to": size_key(
        "what the rod is read to; its standard error",
        "a usual one is taken and said",
        example="2 mm",
    ),
    "farthest_sight": size_key(
        "the longest that a sight without a written distance may be",
        "their line of sight is left out",
        example="40 m",
    ),
    "half_turn": text_key(
        "how far two readings of one rod lay apart, the laser's head turned half round",
        "not checked",
        example="2 mm at 30 m",
    ),
    "two_peg": Key(
        kind=Kind.INSTRUMENT,
        meaning="a two-peg test of a level: its slope is taken off the readings",
        left_out="nothing is taken off",
        example="[ground.instrument.two_peg]",
    ),
}

TWO_PEG: Keys = {
    "apart": size_key("how far the two pegs stand apart", "refused", example="50 m"),
    "middle": pair_key(
        "readings on the first and the second peg, from midway between them",
        "refused",
        example='["1.283 m", "0.860 m"]',
    ),
    "beyond": pair_key(
        "the same from beyond the second peg, or from close to it",
        "refused",
        example='["1.612 m", "1.219 m"]',
    ),
    "beyond_sights": pair_key(
        "how far the first and the second peg are from there",
        "refused",
        example='["55 m", "5 m"]',
    ),
}
