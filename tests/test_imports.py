"""The rooms, and what each may import: the table that keeps planner, text and proof apart.

The planner never sweeps a tool and the proof never takes an envelope: two independent roads to the same surface, so
that a mistake in one shows in the other. A room that is not listed for another may not be imported by it.
"""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]

# Named once, most rooms being folders and some single files; `geometry values` are lines, arcs and chains only.
VALUES = "toolpath.geometry.elements"
ANYWHERE = {"toolpath", "toolpath.errors"}
EVERYTHING = {"toolpath", "posts"}
ROOMS: dict[str, set[str]] = {
    "toolpath.errors": set(),
    "toolpath.geometry": set(),
    "toolpath.quantity": set(),
    "toolpath.reading": {"toolpath.toml_lines", "toolpath.decoding_mistakes", "toolpath.quantity"},
    "toolpath.toml_lines": set(),
    "toolpath.decoding_mistakes": {"toolpath.quantity"},
    "toolpath.motion": {VALUES},
    "toolpath.shop": {"toolpath.geometry", "toolpath.quantity", "toolpath.reading"},
    "toolpath.part": {"toolpath.geometry", "toolpath.quantity", "toolpath.shop", "toolpath.reading"},
    "toolpath.cutting": {"toolpath.quantity", "toolpath.shop"},
    "toolpath.passes": {"toolpath.geometry", "toolpath.motion", "toolpath.shop", "toolpath.cutting"},
    "toolpath.plan": {
        "toolpath.geometry",
        "toolpath.quantity",
        "toolpath.motion",
        "toolpath.shop",
        "toolpath.part",
        "toolpath.cutting",
        "toolpath.passes",
    },
    "posts": {"toolpath.motion", "toolpath.quantity", "toolpath.reading", VALUES},
    "toolpath.proof": {VALUES, "toolpath.motion", "toolpath.shop", "toolpath.cutting"},
    "toolpath.drawing": {"toolpath.geometry"},
    "toolpath.job": EVERYTHING,
    "toolpath.commands": EVERYTHING,
    "toolpath.__main__": EVERYTHING,
    "toolpath": set(),
}
# Libraries from outside the standard library, and the rooms that may use them.
PLANES = {
    f"toolpath.{room}" for room in ("geometry", "part", "cutting", "passes", "plan", "proof", "drawing", "commands")
}
TYPED = {f"toolpath.{room}" for room in ("reading", "decoding_mistakes", "shop", "part", "job", "commands")} | {"posts"}
LIBRARIES: dict[str, set[str]] = {
    "numpy": PLANES,
    "shapely": PLANES,
    "ezdxf": {"toolpath.drawing", "toolpath.part"},
    "click": {"toolpath.commands"},
    "msgspec": EVERYTHING,  # what values are made of: a hundred of them as data classes take as long to import as numpy
    "simpleeval": {"toolpath.quantity"},
}


def module_name(path: Path) -> str:
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


MODULES = {module_name(p): p for top in ("toolpath", "posts") for p in sorted((ROOT / top).rglob("*.py"))}


def within(module: str, rooms: set[str]) -> bool:
    """True when the module is one of the rooms or lies in one."""
    return any(module == room or module.startswith(room + ".") for room in rooms)


def room_of(module: str) -> str:
    """The listed room with the longest name that holds the module."""
    return max((r for r in ROOMS if within(module, {r})), key=len)


def imports_of(module: str, source: str, *, package: bool) -> set[str]:
    """Dotted names that the source imports, at any depth (inside functions too), relative ones resolved.

    `from a import b` counts as `a.b` where that is, or may be, a module of the project, else as `a`.
    """
    found = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                up = module.split(".") if package else module.split(".")[:-1]
                up = up[: len(up) - node.level + 1]
                base = ".".join([*up, *([node.module] if node.module else [])])
            names = {f"{base}.{alias.name}" for alias in node.names}
            found |= {n if n in MODULES or (base == "toolpath" and "__" not in n) else base for n in names}
    return found


def allowed(module: str, target: str) -> bool:
    room = room_of(module)
    if target in ANYWHERE or (room != "toolpath" and within(target, {room})):
        return True
    return within(target, ROOMS[room])


def faults(module: str, source: str, *, package: bool) -> list[str]:
    """What the source imports and may not, in words."""
    out = []
    for target in sorted(imports_of(module, source, package=package)):
        top = target.split(".")[0]
        if top in ("toolpath", "posts"):
            if not allowed(module, target):
                out.append(f"{module} may not import {target}")
        elif top not in sys.stdlib_module_names and not within(module, LIBRARIES.get(top, set())):
            out.append(f"{module} may not import the library {top}")
    return out


@pytest.mark.parametrize("module", sorted(MODULES))
def test_a_module_imports_only_what_its_room_may(module: str) -> None:
    path = MODULES[module]
    assert faults(module, path.read_text(encoding="utf-8"), package=path.name == "__init__.py") == []


@pytest.mark.parametrize(
    ("module", "source"),
    [
        ("toolpath.proof.sweep", "from toolpath.passes import rough"),
        ("toolpath.proof.sweep", "import toolpath.plan.road"),
        ("toolpath.proof.sweep", "from toolpath.geometry import envelope"),
        ("toolpath.proof.sweep", "from toolpath.geometry.sites import site_of"),
        ("toolpath.proof.sweep", "def f():\n    from ..plan import road"),
        ("toolpath.geometry.envelope", "from ..shop import tools"),
        ("toolpath.passes.rough", "from toolpath import proof"),
        ("toolpath.plan.road", "import toolpath.proof"),
        ("toolpath.motion", "from toolpath.geometry.corners import round_off"),
        ("toolpath.shop.rack", "import toolpath.part.rows"),
        ("toolpath.drawing.dxf", "from toolpath.motion import Rapid"),
        ("toolpath.errors", "import toolpath.motion"),
        ("posts.writer", "import toolpath.shop"),
        ("posts.writer", "import numpy as np"),
        ("posts.writer", "from toolpath.geometry.envelope import envelope"),
        ("toolpath.cutting.depth", "import requests"),
    ],
)
def test_the_table_refuses_what_it_should(module: str, source: str) -> None:
    assert len(faults(module, source, package=False)) == 1


@pytest.mark.parametrize(
    ("module", "source"),
    [
        ("toolpath.proof.sweep", "from toolpath.geometry.elements import Arc"),
        ("toolpath.proof.sweep", "from toolpath.motion import Cut\nimport shapely"),
        ("toolpath.shop.rack", "from .tool import Tool\nfrom toolpath.reading import load"),
        ("toolpath.shop.rack", "from toolpath.errors import BadInput"),
        ("posts.writer", "import math\nfrom toolpath.motion import Program\nfrom posts.dialect import Dialect"),
    ],
)
def test_the_table_allows_what_it_should(module: str, source: str) -> None:
    assert faults(module, source, package=False) == []


def test_no_room_is_forgotten() -> None:
    unlisted = {m for m in MODULES if room_of(m) == "toolpath" and m != "toolpath"}
    assert unlisted == set(), "a new room must say in the table what it may import"


def loaded_by(statement: str) -> set[str]:
    """Names of the modules in a fresh process after the statement, those of the interpreter's start left out."""
    code = f"import sys; before = set(sys.modules); {statement}; print(*(set(sys.modules) - before), file=sys.stderr)"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return set(done.stderr.split())


HEAVY = {"numpy", "shapely", "ezdxf", "matplotlib", "scipy"}
PLANNER = {f"toolpath.{room}" for room in ("shop", "part", "cutting", "passes", "plan", "proof", "commands", "job")}


@pytest.mark.parametrize("statement", ["import posts", "import posts.writer", "import posts.reader, posts.dialect"])
def test_the_posts_stand_alone(statement: str) -> None:
    loaded = loaded_by(statement)
    assert "posts" in loaded
    assert sorted(m for m in loaded if m.split(".")[0] in HEAVY or within(m, PLANNER)) == []


@pytest.mark.parametrize("package", ["toolpath", "posts", "toolpath.commands"])
def test_importing_a_package_is_light(package: str) -> None:
    loaded = loaded_by(f"import {package}")
    third_party = {m.split(".")[0] for m in loaded} - set(sys.stdlib_module_names)
    assert third_party <= {"toolpath", "posts"}


def test_help_imports_click_and_no_command() -> None:
    loaded = loaded_by("from toolpath.commands.cli import run; run(['--help'])")
    assert "click" in loaded
    commands = {m for m in loaded if m.startswith("toolpath.commands.")}
    assert commands == {"toolpath.commands.cli"}
    assert not {m.split(".")[0] for m in loaded} & (HEAVY | {"msgspec", "simpleeval"})
