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
