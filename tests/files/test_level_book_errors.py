"""Every broken book gets one clear message with its cure, and nothing is written."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pytest

from terrain_head.cli.main import run

_GOOD = "point,bs [m],is,fs,elevation\nBM,1.000,,,100\nA,,1.500,,\nBM,,,1.002,\n"


@dataclass(frozen=True)
class Broken:
    """A broken book: what it holds, what the message must say, and the exit code."""

    name: str
    content: str | bytes
    says: tuple[str, ...]
    code: int = 3
    options: tuple[str, ...] = ()
    heights: str | None = None


CASES = (
    Broken(
        name="no unit",
        content="point,bs,is,fs\nBM,4.12,,\nA,,,2.00\n",
        says=("line 1", "no unit", "4.12 m", "4.12 ft which is 1.256 m", "bs [ft]", "--unit ft"),
    ),
    Broken(
        name="direction that is none",
        content="point,bs [m],fs,bs_dir,fs_dir,head\nBM,1.5,,uphill,,NNE\nA,,1.2,,400,\n",
        says=(
            "line 2",
            'bs_dir is "uphill"',
            'head is "NNE"',
            'fs_dir is "400"',
            "degrees from north",
            "N, NE, E, SE, S, SW, W, NW",
        ),
    ),
    Broken(
        name="no unit on elevations of a book in millimetres",
        content="point,bs [mm],fs,elevation\nBM,1412,,100\nA,,1200,\n",
        says=("elevation carries no unit", "elevation [m]"),
    ),
    Broken(
        name="unknown unit in the heading",
        content="point,bs [chains],fs\nBM,1,\nA,,2\n",
        says=('the unit "chains" is not known', "Known: ft, ft-in, in, m, cm, mm"),
    ),
    Broken(
        name="unknown unit of the command",
        content=_GOOD,
        options=("--unit", "rods"),
        says=('"rods"', "ft-in", "--unit ft"),
    ),
    Broken(
        name="misspelled heading",
        content="point,bs [m],fs,elevatoin\nBM,1.0,,100\nA,,2.0,\n",
        says=("line 1", '"elevatoin" is not known', 'Was "elevation" meant?'),
    ),
    Broken(
        name="heading twice",
        content="point,bs [m],fs,bs\nBM,1.0,,\nA,,2.0,\n",
        says=('the heading has "bs" twice',),
    ),
    Broken(
        name="heading of neither form",
        content="station,height\n1,2\n",
        says=("fits neither form", "point,bs [ft],is,fs,elevation", "setup,point,rod [ft]"),
    ),
    Broken(
        name="date made of 5/8, month last",
        content="point,bs [ft-in],fs\nBM,4-0-1/2,\nA,,8-May\n",
        says=("line 3", 'fs is "8-May", a date', "5/8", "Text", "4 ft 0-5/8 in"),
    ),
    Broken(
        name="date made of 5/8, day first",
        content="point,bs [ft-in],fs\nBM,4-0-1/2,\nA,,5-Aug\n",
        says=('"5-Aug", a date', "out of 8-5 or 5-8 (feet and inches), or out of 5/8"),
    ),
    Broken(
        name="date that is feet and inches or a fraction",
        content="point,bs [ft-in],fs\nBM,4-0-1/2,\nA,,02-Jan\n",
        says=("out of 1-2 or 2-1 (feet and inches), or out of 1/2", "1 ft 2 in or 4 ft 0-1/2 in"),
    ),
    Broken(
        name="date of a day that no inch has",
        content="point,bs [ft-in],fs\nBM,4-0-1/2,\nA,,20-Jan\n",
        says=("out of 20-1 (feet and inches)", "again: 20 ft 1 in"),
    ),
    Broken(
        name="date made of 4-7",
        content="point,bs [ft-in],fs\nBM,4-0-1/2,\nA,,7-Apr\n",
        says=('"7-Apr", a date', "out of 4-7", "4 ft 7 in"),
    ),
    Broken(
        name="foresight before any backsight",
        content="point,bs [m],fs\nBM,,1.0\nA,2.0,\n",
        says=("line 2", "BM is read ahead", "no reading back came before it"),
    ),
    Broken(
        name="forgotten backsight",
        content="point,bs [m],fs\nBM,1.0,\nTP2,,1.5\nTP3,,2.0\n",
        says=("TP3 is read ahead", "moved after line 3", "on TP2 forgotten", "line 3 under bs"),
    ),
    Broken(
        name="intermediate sight beside a foresight",
        content="point,bs [m],is,fs\nBM,1.0,,\nA,,1.2,1.3\n",
        says=("line 3", 'is "1.2" beside fs "1.3"', "a row each"),
    ),
    Broken(
        name="not a number at all",
        content="point,bs [m],fs\nBM,1.0,\nA,,nan\n",
        says=('fs is "nan", which is no reading', "blank"),
    ),
    Broken(
        name="words instead of a reading",
        content="point,bs [m],fs\nBM,1.0,\nA,,about two\n",
        says=('fs is "about two"', "not a number in m"),
    ),
    Broken(
        name="decimal comma between commas",
        content='point,bs [m],fs\nBM,"1,0",\nA,,2.0\n',
        says=('bs is "1,0"', "point for decimals", "semicolons"),
    ),
    Broken(
        name="more cells than columns",
        content="point,bs [m],fs\nBM,1,250,\nA,,2,100\n",
        says=("more cells than the heading", "decimal comma"),
    ),
    Broken(
        name="twelve inches",
        content="point,bs [ft-in],fs\nBM,4-12,\nA,,4-1\n",
        says=('bs is "4-12"', "stay under 12", "was it 5-0?"),
    ),
    Broken(
        name="fourteen inches and a quarter",
        content="point,bs [ft-in],fs\nBM,6-14-1/4,\nA,,4-1\n",
        says=("was it 7-2-1/4?",),
    ),
    Broken(
        name="feet and inches in a column of feet",
        content="point,bs [ft],fs\nBM,6-4-1/4,\nA,,4-1\n",
        says=("1 thing to put right", "looks like feet and inches", "Write bs [ft-in]"),
    ),
    Broken(
        name="feet and inches where another column says so",
        content="point,bs [ft],fs\nBM,6.4,\nA,,4-1\n",
        says=("Write fs [ft-in] in the heading of its column too",),
    ),
    Broken(
        name="no unit, and feet and inches",
        content="point,bs,fs\nBM,6-4-1/4,\nA,,4-1-1/2\nB,,\n",
        says=("1 thing to put right", "6-4-1/4 in line 2 looks like feet and inches", "bs [ft-in]"),
    ),
    Broken(
        name="unit and a comma in the cell",
        content='point,bs [m],fs\nBM,"1,204 m",\nA,,1.5 m\n',
        says=("Write 1.204, or 1204 if the comma parts thousands", "not in the cell: write 1.5"),
    ),
    Broken(
        name="fraction of more than an inch",
        content="point,bs [ft-in],fs\nBM,4 ft 1-9/8 in,\nA,,4-1\n",
        says=("fraction must be less than one inch",),
    ),
    Broken(
        name="decimal figure in a column of feet and inches",
        content="point,bs [ft-in],fs\nBM,4.07,\nA,,4-1\n",
        says=("this column holds feet and inches", "4-0-5/8"),
    ),
    Broken(name="empty file", content="", says=("is empty",)),
    Broken(name="comments only", content="# nothing yet\n\n", says=("no line that counts",)),
    Broken(name="heading only", content="point,bs [m],fs\n", says=("line 1", "no row under it")),
    Broken(name="zero bytes", content=b"point,bs\nA,\x00\x00\n", says=("line 2", "zero byte")),
    Broken(
        name="not UTF-8",
        content="point,bs [m],fs\nM\u00fchle,1.0,\nA,,2.0\n".encode("latin-1"),
        says=("not UTF-8", "line 2", "CSV UTF-8"),
    ),
    Broken(
        name="UTF-16",
        content="point,bs [m],fs\nA,1.0,\n".encode("utf-16"),
        says=("UTF-16", "CSV UTF-8"),
    ),
    Broken(
        name="a spreadsheet's own file",
        content=b"PK\x03\x04\x14\x00",
        says=("spreadsheet's own file", "save the sheet as CSV"),
    ),
    Broken(
        name="two known elevations of one point",
        content="point,bs [m],fs,elevation\nBM,1.0,,100\nA,,1.1,\nBM,,,101\n",
        says=("line 4", "BM has a second elevation", "1.000 m from", "line 2", "worked"),
    ),
    Broken(
        name="a part tied to nothing",
        content="point,bs [m],fs,elevation\nBM,1.0,,100\nA,,1.1,\nX,1.0,,\nY,,1.1,\n",
        says=("tied to nothing known", "X, Y", "spelled two ways"),
        code=4,
    ),
    Broken(
        name="figures without a point",
        content="point,bs [m],fs\nBM,1.0,\n,,1.1\n",
        says=("line 3", "figures but no point"),
    ),
    Broken(
        name="reading without a set-up",
        content="setup,point,rod [m]\n1,BM,1.0\n,A,1.1\n",
        says=("line 3", "has no setup"),
    ),
    Broken(
        name="station with one figure after the plus",
        content="point,bs [m],fs,route,station\nBM,1.0,,r,0+00\nA,,1.1,r,1+5\n",
        says=('station is "1+5"', "1+25", "0+125"),
    ),
    Broken(
        name="station without a route",
        content="point,bs [m],fs,station\nBM,1.0,,10\nA,,1.1,\n",
        says=("station stands here without a route",),
    ),
    Broken(
        name="two stations of one point",
        content="point,bs [m],fs,route,station\nBM,1.0,,r,0\nA,,1.1,r,5\nA,1.0,,r,6\nB,,1,r,9\n",
        says=("A has a second station on route r", "1.00 m"),
    ),
    Broken(
        name="sight of no length",
        content="point,bs [m],fs,bs_dist\nBM,1.0,,0\nA,,1.1,\n",
        says=('bs_dist is "0"', "more than 0"),
    ),
    Broken(
        name="doubt without an elevation",
        content="point,bs [m],fs,elevation,elevation_std\nBM,1.0,,,0.1\nA,,1.1,,\n",
        says=("elevation_std stands here without an elevation",),
    ),
    Broken(
        name="taped leg steeper than it is long",
        content="point,bs [m],fs,route,slope_station\nBM,4.0,,r,0\nA,,0.1,r,2\n",
        says=("Route r", "2.00 m apart along the tape", "3.90 m apart in"),
        code=4,
    ),
    Broken(
        name="height difference without a rise",
        content=_GOOD,
        heights="from,to,rise [m]\nBM,hut,\n",
        says=("heights.csv", "line 2", "from, to and rise"),
    ),
    Broken(
        name="height difference to itself",
        content=_GOOD,
        heights="from,to,rise [m]\nBM,BM,1\n",
        says=("from BM to itself",),
    ),
    Broken(
        name="doubt of some height differences only",
        content=_GOOD,
        heights="from,to,rise [m],give_or_take\nBM,hut,1,0.01\nhut,barn,2,\n",
        says=("line 3", "give_or_take is blank here"),
    ),
    Broken(
        name="sheet of heights with a wrong heading",
        content=_GOOD,
        heights="start,end,rise [m]\nBM,hut,1\n",
        says=("no column from nor to", "from,to,rise [m]"),
    ),
    Broken(
        name="sheet of heights without a unit",
        content=_GOOD,
        heights="from,to,rise\nBM,hut,1.5\n",
        says=("column rise carries no unit", "rise [ft]"),
    ),
    Broken(
        name="reading error of the wrong kind",
        content=_GOOD,
        options=("--reading-error", "2 psi"),
        says=("--reading-error can't be used", "a length is wanted"),
        code=2,
    ),
    Broken(
        name="reading error of nothing",
        content=_GOOD,
        options=("--reading-error", "0 mm"),
        says=("must be more than 0",),
        code=2,
    ),
)


def _flat(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_broken_book_is_told_with_its_cure(
    case: Broken, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = tmp_path / "lower.csv"
    content = case.content.encode() if isinstance(case.content, str) else case.content
    book.write_bytes(content)
    options = list(case.options)
    if case.heights is not None:
        other = tmp_path / "heights.csv"
        other.write_text(case.heights, encoding="utf-8")
        options += ["--heights", str(other)]
    before = sorted(tmp_path.iterdir())
    code = run(["reduce", str(book), *options, "--json"])
    told = capsys.readouterr()
    assert code == case.code
    assert told.out == ""
    for words in case.says:
        assert words.lower() in _flat(told.err).lower()
    assert "Traceback" not in told.err
    assert told.err.isascii()
    assert all(len(line) <= 79 for line in told.err.splitlines())
    assert sorted(tmp_path.iterdir()) == before
    assert book.read_bytes() == content


def test_missing_book_is_told_with_the_nearest_name(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "lower.csv").write_text(_GOOD, encoding="utf-8")
    assert run(["reduce", str(tmp_path / "lowr.csv")]) == 3
    told = _flat(capsys.readouterr().err)
    assert "lowr.csv is not there" in told
    assert "There is lower.csv; was that meant?" in told
    assert run(["reduce", str(tmp_path)]) == 3
    assert "can't be opened" in capsys.readouterr().err
    assert run(["reduce", str(tmp_path / "nowhere" / "lowr.csv")]) == 3
    assert "is not there" in capsys.readouterr().err


def test_all_troubles_are_told_at_once_and_none_that_merely_follows(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = tmp_path / "lower.csv"
    book.write_text(
        "point,bs,is,fs\nBM1,4.12,,\nspring,,5.37,\nTP1,2.05,,9.86\nram,,5.46,\nTP2,1.0,,7.9\n"
        "goat,,8-May,\nTP2,,,3.0\nTP3,,,4.0\nTP4,,1.0,\n",
        encoding="utf-8",
    )
    assert run(["reduce", str(book)]) == 3
    told = _flat(capsys.readouterr().err)
    assert "lower.csv can't be reduced yet: 3 things to put right." in told
    assert "Lines 2 to 6 read well. Nothing was written." in told
    assert "TP4" not in told


def test_troubles_of_two_books_are_told_with_their_names(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for name in ("one.csv", "two.csv"):
        (tmp_path / name).write_text("point,bs [m],fs\nBM,x,\nA,,2\n", encoding="utf-8")
    assert run(["reduce", str(tmp_path / "one.csv"), str(tmp_path / "two.csv")]) == 3
    told = _flat(capsys.readouterr().err)
    assert "one.csv and two.csv can't be reduced yet: 2 things to put right." in told
    assert "two.csv: bs is" in told


def test_feet_and_inches_read_as_feet_are_told_once_with_the_option(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = tmp_path / "lower.csv"
    rows = "".join(f"p{n},,4-{n}-1/2,\n" for n in range(9))
    book.write_text(f"point,bs,is,fs\nBM,4-7-1/2,,\n{rows}BM,,,4-7-1/2\n", encoding="utf-8")
    assert run(["reduce", str(book), "--unit", "ft"]) == 3
    message = capsys.readouterr().err
    assert "1 thing to put right" in message
    assert "Say so: --unit ft-in with the command" in " ".join(message.split())
    assert run(["reduce", str(book), "--unit", "ft-in"]) == 0


@pytest.mark.parametrize(
    "heading", ["back sight,fore sight", "BS,FS", "B.S.,F.S.", "Backsight,Foresight"]
)
def test_headings_that_are_clear_are_read(heading: str, tmp_path: Path) -> None:
    back, ahead = heading.split(",")
    book = tmp_path / "b.csv"
    book.write_text(f"point,{back} [m],{ahead} [m]\nBM,1.5,\nA,,1.0\n", encoding="utf-8")
    assert run(["reduce", str(book)]) == 0
