"""How the source is built, counted: modules, importers, packages that import each other, names.

python -m tests.bench.structure [FOLDER]     (another checkout, to compare; this one by default)

Packages are the folders of an app, two levels deep; migrations are left out everywhere.
"""

from __future__ import annotations

import ast
import statistics
import sys
from collections import Counter, defaultdict
from collections.abc import Iterator
from itertools import combinations
from pathlib import Path

APPS = ("core", "rigs", "notes")
Importers = dict[str, set[str]]


def sources(root: Path, *apps: str) -> Iterator[Path]:
    for app in apps:
        yield from (p for p in sorted((root / app).rglob("*.py")) if "migrations" not in p.parts)


def module_name(root: Path, path: Path) -> str:
    return ".".join(path.relative_to(root).with_suffix("").parts).removesuffix(".__init__")


def imports(tree: ast.Module, modules: set[str]) -> Iterator[str]:
    """The modules of the project that this one imports, wherever in the file it does."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names if alias.name in modules)
        elif isinstance(node, ast.ImportFrom) and node.module:
            for alias in node.names:
                # The imported name may be a module itself, or something inside of one.
                full = f"{node.module}.{alias.name}"
                yield from (name for name in (full, node.module) if name in modules)


def package(module: str) -> str:
    return ".".join(module.split(".")[:2])


def mutual(edges: set[tuple[str, str]]) -> list[tuple[str, str]]:
    """Packages of one app that import each other."""
    return sorted(
        (a, b)
        for a, b in combinations(sorted({a for a, _ in edges}), 2)
        if (a, b) in edges and (b, a) in edges and a.split(".")[0] == b.split(".")[0]
    )


def functions(tree: ast.Module) -> Iterator[int]:
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield (node.end_lineno or node.lineno) - node.lineno + 1


def template_lines(root: Path) -> list[int]:
    return [
        len(line)
        for app in APPS
        for path in (root / app / "templates").rglob("*.html")
        for line in path.read_text().splitlines()
    ]


# Fields of an input whose names mean nothing else; what is also a word of other records (name,
# number, unit, device, notes) or of the code (pan, stand) says nothing of who knows the field.
OF_AN_INPUT = frozenset(
    [
        "aimed_at",
        "reference_point",
        "distance_m",
        "distance_unit",
        "angle_deg",
        "height_m",
        "height_unit",
        "offset_m",
        "offset_unit",
        "plan_right_m",
        "plan_right_unit",
        "plan_front_m",
        "plan_front_unit",
        "stage_position",
        "reversed_polarity",
        "phantom",
        "ground_lift",
        "pad_db",
        "pad_at",
        "gain_db",
        "high_pass_hz",
        "low_pass_hz",
        "delay_ms",
    ]
)
# Where a field is stated, what computes and draws with it, and data of the demonstration.
MAY_NAME = ("rigs.models.", "rigs.checks.", "rigs.drawing.", "rigs.signal.", "notes.demo.")


def names_fields(tree: ast.Module) -> bool:
    """Whether a module spells two fields of an input or more: in text, as an argument, as an
    attribute of its own."""
    said: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            said.add(node.value)
        elif isinstance(node, ast.keyword) and node.arg:
            said.add(node.arg)
        elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            said.add(node.target.id)
        elif isinstance(node, ast.Attribute):
            said.add(node.attr)
    return len(said & OF_AN_INPUT) > 1


def comments(text: str) -> int:
    return sum(line.lstrip().startswith("#") for line in text.splitlines())


def report(root: Path) -> Iterator[tuple[str, object]]:
    paths = {module_name(root, path): path for path in sources(root, *APPS)}
    texts = {name: path.read_text() for name, path in paths.items()}
    trees = {name: ast.parse(text) for name, text in texts.items()}
    importers: Importers = defaultdict(set)
    for name, tree in trees.items():
        for imported in imports(tree, set(trees)):
            importers[imported].add(name)
    edges = {
        (package(by), package(module))
        for module, all_by in importers.items()
        for by in all_by
        if package(by) != package(module)
    }
    classes = Counter(
        node.name
        for tree in trees.values()
        for node in ast.walk(tree)
        if isinstance(node, ast.ClassDef) and node.name != "Meta"
    )
    lengths = sorted(length for tree in trees.values() for length in functions(tree))
    lines = sum(len(text.splitlines()) for text in texts.values())
    own = [name for name, text in texts.items() if text.strip()]
    tests = [path.read_text() for path in sources(root, "tests")]
    templates = template_lines(root)
    pairs = mutual(edges)
    yield "modules with something in them", len(own)
    yield "lines", lines
    yield "lines of comment", f"{100 * sum(map(comments, texts.values())) / lines:.1f} %"
    yield "modules with one importer", sum(len(importers[name]) == 1 for name in own)
    yield "modules named …ing", sum(name.endswith("ing") for name in own)
    yield "pairs of packages importing each other", len(pairs)
    yield "  these", ", ".join(f"{a} and {b}" for a, b in pairs) or "none"
    yield "class names used more than once", sum(count > 1 for count in classes.values())
    naming = [name for name, tree in trees.items() if names_fields(tree)]
    yield "modules naming two fields of an input", len(naming)
    free = [name for name in naming if not name.startswith(MAY_NAME)]
    yield "  beside models, checks, drawing, demo", len(free)
    yield "  these", ", ".join(free) or "none"
    yield "fmt: skip in source", sum(text.count("fmt: skip") for text in texts.values())
    yield "fmt: skip in tests", sum(text.count("fmt: skip") for text in tests)
    yield "longest line of a template", max(templates, default=0)
    yield "template lines over 120 characters", sum(length > 120 for length in templates)
    yield "function lines, median", statistics.median(lengths)
    yield "function lines, 9 in 10 at most", lengths[len(lengths) * 9 // 10]
    yield "function lines, most", lengths[-1]


def main() -> None:
    root = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).resolve().parents[2]
    for what, figure in report(root):
        print(f"{what:42} {figure}")


if __name__ == "__main__":
    main()
