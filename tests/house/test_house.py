"""The house holds together: names, layers, units, docstrings, sources, documents."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import terrain_head

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "terrain_head"
MODULES = sorted(PACKAGE.rglob("*.py"))


def test_the_public_names_are_these() -> None:
    assert terrain_head.__all__ == [
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
    assert all(getattr(terrain_head, name) for name in terrain_head.__all__)
    assert set(terrain_head.__all__) <= set(dir(terrain_head))
    with pytest.raises(AttributeError, match="nothing_of_the_kind"):
        _ = terrain_head.nothing_of_the_kind


def test_imports_point_downward_only() -> None:
    from importlinter.cli import lint_imports

    assert lint_imports(config_filename=str(ROOT / "pyproject.toml"), no_cache=True) == 0


def test_the_start_loads_nothing_heavy() -> None:
    code = (
        "import sys, terrain_head.cli.main as m\n"
        "m.run(['--help'])\n"
        "heavy = {'numpy', 'scipy', 'matplotlib', 'rasterio', 'pyproj', 'shapely', 'pyogrio'}\n"
        "assert not heavy & set(sys.modules), heavy & set(sys.modules)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert "study" in done.stdout


FACTORS = re.compile(
    r"(?<![\d.])(0\.3048\d*|6894\.7\d*|0\.433\d*|2\.307\d*|2\.31|3\.785\d*|0\.0254|4\.448\d*)\b"
)


def code_lines(path: Path) -> Iterator[tuple[int, str]]:
    """Yield number and text of the lines that hold code: no docstrings, no comments."""
    source = path.read_text(encoding="utf-8")
    texts: set[int] = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            texts.update(range(node.lineno, (node.end_lineno or node.lineno) + 1))
    for number, line in enumerate(source.splitlines(), 1):
        if number not in texts:
            yield number, line.split("#")[0]


def test_no_conversion_factor_stands_outside_base_units() -> None:
    found = [
        f"{path.relative_to(ROOT)}:{number}: {line.strip()}"
        for path in MODULES
        if path != PACKAGE / "base" / "units.py"
        for number, line in code_lines(path)
        if FACTORS.search(line)
    ]
    assert found == []


UNITS = {
    "_kg_m3": "[kg/m3]",
    "_pa_s": "[Pa s]",
    "_m": "[m]",
    "_m2": "[m2]",
    "_m3": "[m3]",
    "_m3_s": "[m3/s]",
    "_m2_s": "[m2/s]",
    "_m_s": "[m/s]",
    "_pa": "[Pa]",
    "_kg": "[kg]",
    "_s": "[s]",
    "_c": "[C]",
    "_rad": "[rad]",
}
SUFFIX = re.compile(r"(_kg_m3|_pa_s|_m3_s|_m2_s|_m_s|_m3|_m2|_m|_pa|_kg|_rad)$")


def described_parameters(path: Path) -> Iterator[tuple[str, str, str]]:
    """Yield owner, names and description of each entry under Parameters and Returns."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if not isinstance(node, ast.ClassDef | ast.FunctionDef) or node.name.startswith("_"):
            continue
        text = ast.get_docstring(node) or ""
        for section in re.findall(r"Parameters\n-+\n(.*?)(?=\n\w+\n-+\n|\Z)", text, re.DOTALL):
            for entry in re.split(r"\n(?=\S)", section):
                names, _, description = entry.partition("\n")
                yield f"{path.name}:{node.name}", names, description


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_a_parameter_named_with_a_unit_says_the_unit(path: Path) -> None:
    missing = []
    for owner, names, description in described_parameters(path):
        suffixes = {
            match[1]
            for name in names.split(",")
            if (match := SUFFIX.search(name.split(":")[0].strip()))
        }
        missing += [
            f"{owner}: {names} lacks {UNITS[suffix]}"
            for suffix in suffixes
            if UNITS[suffix] not in description
        ]
    assert missing == []


TRACKED = subprocess.run(
    ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False
).stdout.split("\n")
TEXTS = [
    ROOT / name
    for name in TRACKED
    if name.endswith((".py", ".md", ".toml", ".csv", ".j2", ".geojson")) and (ROOT / name).is_file()
]


def test_no_file_holds_the_path_of_one_machine() -> None:
    absolute = re.compile(r"(?<![\w.])/(home|root|Users|work)/\w")
    found = [
        str(path.relative_to(ROOT)) for path in TEXTS if absolute.search(path.read_text("utf-8"))
    ]
    assert found == []


def test_only_the_agreed_names_stand_at_the_top() -> None:
    top = {name.split("/")[0] for name in TRACKED if name}
    allowed = {
        "README.md", "DEVELOPERS.md", "pyproject.toml", "terrain_head", "tests",
        "sample_surveys", "docs",
    }  # fmt: skip
    assert {name for name in top if not name.startswith(".")} <= allowed


LINK = re.compile(r"\]\((?!https?:)([^)#]+)")


def test_every_link_between_the_documents_leads_somewhere() -> None:
    broken = [
        f"{path.name}: {target}"
        for path in [ROOT / "README.md", ROOT / "DEVELOPERS.md", *(ROOT / "docs").glob("*.md")]
        for target in LINK.findall(path.read_text("utf-8"))
        if not (path.parent / target).exists()
    ]
    assert broken == []


def test_the_check_script_runs_the_readmes_test_command() -> None:
    script = (ROOT / ".ci" / "run").read_text("utf-8")
    assert "grep -m1 'pytest' README.md" in script
    readme = (ROOT / "README.md").read_text("utf-8")
    assert sum("pytest" in line for line in readme.splitlines()) == 1


# Read as they are said: show(height, "height", units); the others follow a book through its rows.
BY_POSITION = {
    "display.show",
    "display.in_unit",
    "entries.wanted_entries",
    "heads_joints.Joints.heads",
    "page_check.sheet_of",
    "page_check.page_checks",
    "reduce_suspects.say_suspects",
    "reduce_suspects.say_suspect",
    "reduce_suspects.say_amended",
}
# Each pair names one spot.
SPOTS = (("x", "y"), ("east_m", "north_m"), ("station_m", "beside"))
# A switch of one wording or weight, said by its name at every call.
SWITCHES = {
    "mark_key": "which of two places of a line is marked",
    "reading": "whether a block may be read now",
    "required": "whether a key may be left out",
    "known": "whether the ground between two stations is known",
    "heavy": "weight of the letters",
}


def public_functions(path: Path) -> Iterator[tuple[str, ast.FunctionDef]]:
    """Yield the functions of a module, and the methods of its classes, that others may call."""
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            yield f"{path.stem}.{node.name}", node
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            for inner in node.body:
                if isinstance(inner, ast.FunctionDef) and (
                    inner.name == "__init__" or not inner.name.startswith("_")
                ):
                    yield f"{path.stem}.{node.name}.{inner.name}", inner


def positional(function: ast.FunctionDef) -> list[str]:
    """Return the parameters that may be given by position, each spot counted once."""
    named = [given.arg for given in (*function.args.posonlyargs, *function.args.args)]
    names = [name for name in named if name not in {"self", "cls"}]
    for first, second in SPOTS:
        if first in names and second in names:
            names.remove(second)
    return names


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_at_most_two_arguments_are_given_by_position(path: Path) -> None:
    assert [] == [
        f"{name}({', '.join(positional(function))})"
        for name, function in public_functions(path)
        if len(positional(function)) > 2 and name not in BY_POSITION
    ]


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_no_function_has_a_mode_switch(path: Path) -> None:
    """Options of the command are switches by nature; the others are listed, and given by name."""
    if path.parent.name == "cli":
        return
    found = []
    for name, function in public_functions(path):
        by_name = {given.arg for given in function.args.kwonlyargs}
        for given in (*function.args.args, *function.args.kwonlyargs):
            kind = "" if given.annotation is None else ast.unparse(given.annotation)
            if kind == "bool" and not (given.arg in SWITCHES and given.arg in by_name):
                found.append(f"{name}({given.arg})")
    assert found == []


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_a_list_of_parameters_names_every_one(path: Path) -> None:
    """A docstring that lists parameters lists all, and none that is not there."""
    wrong = []
    for name, function in public_functions(path):
        text = ast.get_docstring(function) or ""
        section = re.search(r"Parameters\n-+\n(.*?)(?=\n\w[\w ]*\n-+\n|\Z)", text, re.DOTALL)
        if section is None:
            continue
        listed = [
            word.strip().lstrip("*")
            for entry in re.findall(r"^(\S.*)$", section[1], re.MULTILINE)
            for word in entry.split(":")[0].split(",")
        ]
        given = function.args
        own = [one.arg for one in (*given.posonlyargs, *given.args, *given.kwonlyargs)]
        own += [one.arg for one in (given.vararg, given.kwarg) if one is not None]
        own = [one for one in own if one not in {"self", "cls"}]
        if sorted(listed) != sorted(own):
            wrong.append(f"{name}: {sorted(set(listed) ^ set(own))}")
    assert wrong == []
