"""The layout of DEVELOPERS.md: what stands at the top, and one direction of imports."""

from __future__ import annotations

import ast
import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
TOP = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "LICENSE",
    "requirements.lock",
    ".gitignore",
    ".ci",
    "service",
    "importers",
    "data_cache",
    "tests",
    "openapi_examples",
}
CORE = [
    "errors",
    "values",
    "food",
    "comparison",
    "text",
    "likeness",
    "twins",
    "borrowing",
    "vocabulary",
    "line_item",
    "number",
    "amount",
    "measure",
    "sisters",
    "used_without",
    "line_text",
    "line_items",
    "denial",
    "relative",
    "noun_phrase",
    "line_words",
    "title",
    "component",
    "figure_line",
    "label_line",
    "portion",
    "note",
    "heading",
    "telling",
    "no_food",
    "bare_line",
    "verb_first",
    "clause",
    "wholes",
    "fruit_parts",
    "coordination",
    "shared_amount",
    "choices",
    "part",
    "left_open",
    "part_doubts",
    "uncounted",
    "line_doubts",
    "line_order",
    "ingredient_line",
    "food_index",
    "near_equal",
    "namesake",
    "food_match",
    "edible_portion",
    "weighed_line",
    "volume_weight",
    "vague_weight",
    "mass_weight",
    "package_weight",
    "piece_size",
    "piece_weight",
    "said_twice",
    "counted_raw",
    "gram_weight",
    "name_doubts",
    "weight_doubts",
    "food_choice",
    "nutrients",
    "polyols",
    "total_carbohydrate",
    "health",
    "uncertainty",
    "cooking",
    "kitchen",
    "recipe",
    "eaten",
    "recipe_yield",
    "recipe_text",
    "composition",
    "figures",
    "lacking",
    "label",
    "panel",
    "allergens",
    "cautions",
    "analyse",
    "line_list",
]
# A module of one layer may import only layers before it (and its own).
LAYERS = [
    "service.core",
    "service.tables",
    "importers",
    "service.store",
    "service.settings",
    "service.datasets",
    "service.wiring",
    "service.bulk",
    "service.kitchens",
    "service.publish",
    "service.api",
    "service.web",
    "service.commands",
    "service.cli",
    "service.__main__",
]


def modules() -> list[tuple[str, Path]]:
    found = []
    for folder in ("service", "importers"):
        for path in sorted((ROOT / folder).rglob("*.py")):
            parts = path.relative_to(ROOT).with_suffix("").parts
            found.append((".".join(part for part in parts if part != "__init__"), path))
    return found


def imports(path: Path) -> set[str]:
    """Modules of this project that a file imports, inside functions too."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module)
            found.update(f"{node.module}.{alias.name}" for alias in node.names)
    return {name for name in found if name.split(".")[0] in ("service", "importers")}


def layer(name: str) -> int | None:
    return next((place for place, start in enumerate(LAYERS) if name == start or name.startswith(start + ".")), None)


@pytest.mark.parametrize(("name", "path"), modules(), ids=[name for name, _ in modules()])
def test_imports_go_one_way(name: str, path: Path) -> None:
    own = layer(name)
    if own is None:
        return
    for other in imports(path):
        place = layer(other)
        assert place is None or place <= own, f"{name} imports {other}"


@pytest.mark.parametrize("module", CORE)
def test_core_imports_only_what_stands_above(module: str) -> None:
    path = ROOT / "service" / "core" / f"{module}.py"
    if not path.exists():
        return
    above = CORE[: CORE.index(module)]
    for other in imports(path):
        if other.startswith("service.core."):
            assert other.split(".")[2] in above, f"{module} imports {other}"


def test_every_core_module_has_its_place() -> None:
    names = {path.stem for path in (ROOT / "service" / "core").glob("*.py")} - {"__init__"}
    assert names <= set(CORE)


PURE = {
    "sqlalchemy",
    "sqlmodel",
    "fastapi",
    "httpx",
    "pandas",
    "os",
    "pathlib",
    "time",
    "datetime",
    "random",
    "socket",
    "sqlite3",
    "subprocess",
    "requests",
}


def test_core_is_pure() -> None:
    for path in (ROOT / "service" / "core").glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            names += [node.module] if isinstance(node, ast.ImportFrom) and node.module else []
            assert not {name.split(".")[0] for name in names} & PURE, path.name


# A function that is longer does two things.
LONGEST = 40


def test_functions_are_short() -> None:
    long = [
        f"{name}.{one.name}: {one.end_lineno - one.lineno + 1} lines"
        for name, path in modules()
        for one in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(one, ast.FunctionDef | ast.AsyncFunctionDef)
        if one.end_lineno is not None and one.end_lineno - one.lineno >= LONGEST
    ]
    assert not long


def test_rapidfuzz_has_one_home() -> None:
    homes = [name for name, path in modules() if re.search(r"^\s*(?:from|import) rapidfuzz", path.read_text(), re.M)]
    assert homes == ["service.core.vocabulary"]


def test_top_level_is_as_designed() -> None:
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False).stdout
    if not listed:
        pytest.skip("not a git checkout")
    assert {line.split("/")[0] for line in listed.splitlines()} <= TOP


def test_developers_page_names_every_core_module() -> None:
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    for path in (ROOT / "service" / "core").glob("[!_]*.py"):
        assert re.search(rf"^  {path.stem} ", page, re.M), path.stem
