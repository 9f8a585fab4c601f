"""Every source that the code and the tests cite, and the page that lists them.

Run as a module it writes docs/sources.md anew.
"""

from __future__ import annotations

from importlib import import_module
from pathlib import Path

from terrain_head.base.citation import Source

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "docs" / "sources.md"

_HEAD = """# Sources

Every work in which a number of this project was read, once, and how it was obtained:
**read** in the work itself; **read in a copy**: in a reprint or retyped copy, good enough
for arithmetic, weak as an authority; **from memory**: not read, to be checked before use
**common practice, no source**: a fact of the trade; **ours**: a convention of this project.
The page is written by `python -m tests.house.sources`; a test ties it to the code both ways.

"""


def module_names() -> list[str]:
    """Return the names of all modules of the package and of its tests."""
    files = [*(ROOT / "terrain_head").rglob("*.py"), *(ROOT / "tests").rglob("*.py")]
    names = []
    for file in sorted(files):
        relative = file.relative_to(ROOT)
        if file.name in {"__main__.py", "conftest.py"} or "benchmarks" in relative.parts:
            continue
        names.append(".".join(relative.with_suffix("").parts).removesuffix(".__init__"))
    return names


def cited_sources() -> dict[str, tuple[Source, list[str]]]:
    """Return each source with the modules that define it as a constant, by its key."""
    found: dict[str, tuple[Source, list[str]]] = {}
    for name in module_names():
        for value in vars(import_module(name)).values():
            if isinstance(value, Source):
                source, users = found.setdefault(value.key, (value, []))
                if source != value:
                    raise ValueError(f"two sources are called {value.key}: {source} and {value}")
                if name not in users:
                    users.append(name)
    return found


def page_text() -> str:
    """Return the page that lists them."""
    parts = [_HEAD]
    for key, (source, users) in sorted(cited_sources().items()):
        work = ", ".join(part for part in (source.author, source.title, source.year) if part)
        parts.append(f"### {key}\n\n{work}. *{source.obtained}.*\n")
        parts.append("Used in: " + ", ".join(f"`{user}`" for user in users) + ".\n\n")
    return "".join(parts).rstrip() + "\n"


if __name__ == "__main__":
    PAGE.write_text(page_text(), encoding="utf-8")
