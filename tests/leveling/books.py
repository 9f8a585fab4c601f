"""Printed level books as records, and the way to read a book out of a text."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from terrain_head.base.citation import Source
from terrain_head.files.level_book import read_level_books
from terrain_head.leveling.book import LevelBook
from tests.worked_examples import WorkedExample


def book_of(text: str, **options: Any) -> LevelBook:
    """Read a level book from its text, through a real file."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "book.csv"
        path.write_text(text, encoding="utf-8")
        return read_level_books([path], **options)


NPTEL_SURVEYING = Source(
    key="nptel-surveying",
    author="IIT Roorkee, NPTEL web course 105107122",
    title="Surveying, module 4",
    year="no year",
)
USM_LEVELLING = Source(
    key="usm-levelling",
    author="Universiti Sains Malaysia, School of Civil Engineering",
    title="On-line levelling exercise, answer JSSUAE1",
    year="no year",
)
POLYTECHNIC_UNIT_8 = Source(
    key="polytechnic-unit-8",
    author="Malaysian polytechnic module",
    title="Unit 8, Pembukuan, pengiraan dan pelotan ukur aras",
    year="no year",
    obtained="read in a copy",
)
FIELD_NOTES_EXERCISE = Source(
    key="field-notes-exercise",
    author="Undergraduate exercise with answer",
    title="Field notes for a differential leveling section",
    year="2025",
    obtained="read in a copy",
)
GHILANI_WOLF_14 = Source(
    key="ghilani-wolf-14",
    author="Ghilani and Wolf",
    title="Elementary Surveying, 14th edition",
    year="2015",
    obtained="read in a copy",
)
NAVEDTRA_14081 = Source(
    key="navedtra-14081",
    author="US Navy",
    title="Equipment Operator, NAVEDTRA 14081",
    year="no year",
)
NAVEDTRA_14069 = Source(
    key="navedtra-14069",
    author="US Navy",
    title="Engineering Aid Basic, NAVEDTRA 14069",
    year="no year",
)
LEVELING_SLIDES = Source(
    key="leveling-slides",
    author="Textbook slide set",
    title="Differential leveling",
    year="no year",
    obtained="read in a copy",
)
LOOP_BY_DISTANCE = Source(
    key="loop-by-distance",
    author="Textbook sample problem",
    title="Adjustment of a level loop of 30.5 km",
    year="no year",
    obtained="read in a copy",
)
TRAP_BOOK = Source(
    key="trap-book",
    author="Course page",
    title="Levelling, explanation 75",
    year="no year",
)


def _points(**printed: str) -> dict[str, str]:
    return {name.replace("_", " "): value for name, value in printed.items()}


L1 = WorkedExample(
    name="metric book, two turning points",
    kind="published",
    source=NPTEL_SURVEYING.at("table 13.3"),
    inputs={
        "book": "point,bs [m],is,fs,elevation\n"
        "A,2.365,,,100.000\nS1,0.685,,1.235,\nS2,1.745,,3.570,\nB,,,2.340,\n",
    },
    printed={"A": "100.000", "S1": "101.130", "S2": "98.245", "B": "97.650"},
)
L2 = WorkedExample(
    name="metric book, five set-ups, closed on a second benchmark",
    kind="published",
    source=USM_LEVELLING.at("answer sheet"),
    inputs={
        "book": "point,bs [m],is,fs,elevation\n"
        "OBM1,1.717,,,29.230\nA,,1.432,,\nB,2.918,,1.716,\nC,,2.272,,\nD,0.816,,0.953,\n"
        "E,1.436,,3.005,\nCP,1.246,,1.391,\nF,,1.353,,\nG,,1.462,,\nOBM2,,,0.628,29.66\n",
    },
    printed={
        "A": "29.515", "B": "29.231", "C": "29.877", "D": "31.196", "E": "29.007", "CP": "29.052",
        "F": "28.945", "G": "28.836",
        "A correction mm": "-2", "B correction mm": "-2", "C correction mm": "-4",
        "D correction mm": "-4", "E correction mm": "-6", "CP correction mm": "-8",
        "F correction mm": "-10", "G correction mm": "-10",
        "A adjusted": "29.51", "B adjusted": "29.23", "C adjusted": "29.87",
        "D adjusted": "31.19", "E adjusted": "29.00", "CP adjusted": "29.04",
        "F adjusted": "28.93", "G adjusted": "28.83",
    },
    looser_because={
        f"{name} adjusted": ("0.006", "printed cut to two decimals: 28.935 stands as 28.93")
        for name in ("A", "B", "C", "D", "E", "CP", "F", "G")
    },
)  # fmt: skip
L3 = WorkedExample(
    name="metric book, three set-ups, shared by set-ups",
    kind="published",
    source=POLYTECHNIC_UNIT_8.at("Jadual 8.1"),
    inputs={
        "book": "point,bs [m],is,fs,elevation\n"
        "OBM,2.191,,,49.870\nA,,2.505,,\nB,,2.325,,\nC,3.019,,1.496,\nD,,2.513,,\n"
        "E,1.752,,2.811,\nTBM,,,3.824,48.71\n",
    },
    printed={
        "A": "49.556", "B": "49.736", "C": "50.565", "D": "51.071", "E": "50.733",
        "A adjusted": "49.56", "B adjusted": "49.74", "C adjusted": "50.57",
        "D adjusted": "51.08", "E adjusted": "50.78",
        "A correction mm": "3", "B correction mm": "3", "C correction mm": "3",
        "D correction mm": "6", "E correction mm": "6",
    },
    errata={"E": "50.773"},
    looser_because={
        f"{name} adjusted": ("0.0055", "printed to two decimals, halves either way")
        for name in "ABCDE"
    },
)  # fmt: skip
L4 = WorkedExample(
    name="metric profile, stakes and a feature",
    kind="by hand",
    source=NPTEL_SURVEYING.at("table 14.1, its readings; elevations worked from them"),
    inputs={
        "book": "point,bs [m],is,fs,elevation\n"
        "A,3.005,,,100\n1,,2.285,,\n2,,1.560,,\n3,,1.785,,\n4,,2.105,,\nB,2.875,,3.105,\n"
        "5,,3.465,,\nX,,3.955,,\n6,,3.120,,\n7,,3.015,,\n8,,2.580,,\n9,,1.955,,\nC,,,1.465,\n",
    },
    printed={
        "A": "100.000", "1": "100.720", "2": "101.445", "3": "101.220", "4": "100.900",
        "B": "99.900", "5": "99.310", "X": "98.820", "6": "99.655", "7": "99.760",
        "8": "100.195", "9": "100.820", "C": "101.310",
    },
)  # fmt: skip
L6 = WorkedExample(
    name="book in feet, closed on a known benchmark",
    kind="published",
    source=FIELD_NOTES_EXERCISE.at("answer"),
    inputs={
        "book": "point,bs [ft],is,fs,elevation\n"
        "BM A,3.10,,,100.00\nTP1,6.44,,9.82,\nTP2,8.76,,6.96,\nTP3,7.12,,3.27,\n"
        "BM B,,,10.42,94.91\n",
    },
    printed={
        "TP1": "93.28", "TP2": "92.76", "TP3": "98.25",
        "TP1 adjusted": "93.27", "TP2 adjusted": "92.74", "TP3 adjusted": "98.22",
    },
)  # fmt: skip
L8 = WorkedExample(
    name="metric loop of 1 500 m",
    kind="by hand",
    source=GHILANI_WOLF_14.at("problem 5.12, its readings; elevations worked from them"),
    inputs={
        "book": "point,bs [m],is,fs,elevation\n"
        "BM7,4.388,,,852.045\nTP1,6.907,,4.538,\nBM8,4.680,,8.800,\nTP2,3.730,,5.978,\n"
        "TP3,8.464,,5.245,\nBM7,,,3.598,\n",
    },
    printed={
        "TP1": "851.895", "BM8": "850.002", "TP2": "848.704", "TP3": "847.189",
        "TP1 adjusted": "851.893", "BM8 adjusted": "849.998", "TP2 adjusted": "848.698",
        "TP3 adjusted": "847.181",
    },
)  # fmt: skip
BY_SETUPS = (L2, L3, L6, L8)
ALL_BOOKS = (L1, L2, L3, L4, L6, L8)
SINGLE_SETUPS = (
    WorkedExample(
        name="equipment operator, one set-up",
        kind="published",
        source=NAVEDTRA_14081.at("p. 15-29, figures 15-49 and 15-50"),
        inputs={"book": "point,bs [ft],is,fs,elevation\nBM,5.5,,,100.0\nA,,,2.3,\n"},
        printed={"A": "103.2"},
    ),
    WorkedExample(
        name="cross-section shots",
        kind="published",
        source=NAVEDTRA_14069.at("p. 14-19"),
        inputs={
            "book": "point,bs [ft],is,fs,elevation\n0+00,5.5,,,122.53\nl40,,1.9,,\nl30,,3.3,,\n"
        },
        printed={"l40": "126.1", "l30": "124.7"},
    ),
    WorkedExample(
        name="slide set, one set-up",
        kind="published",
        source=LEVELING_SLIDES.at("first example"),
        inputs={"book": "point,bs [ft],is,fs,elevation\nBM,8.42,,,820.00\nTP1,,,1.20,\n"},
        printed={"TP1": "827.22"},
    ),
)
