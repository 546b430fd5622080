"""A length is added to inputs as DEVELOPERS.md says: in one file and its migration, no other.

Done for real, in a copy of the source; tests/howto/length_of_an_input.py then looks for it there.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
MODEL = Path("rigs/models/inputs.py")
ROW = """        PartField(
            "depth_m",
            FieldRole.PLACEMENT,
            ValueKind.LENGTH,
            searched=True,
            at_shows=True,
            with_device=True,
            group=WHERE,
            phrase=Phrase("{} deep"),
            column=ListColumn("Depth", ("howdeep",), 185),
        ),
"""
COLUMNS = """    depth_m = LengthField("depth inside")
    depth_unit = LengthUnitField()
"""


def test_a_new_length_is_found_everywhere_after_one_file_was_edited(tmp_path: Path) -> None:
    copy = tmp_path / "source"
    for name in ("core", "rigs", "notes", "tests"):
        without = shutil.ignore_patterns("__pycache__", "demo_files", "browser", "bench")
        shutil.copytree(ROOT / name, copy / name, ignore=without)
    for name in ("manage.py", "pyproject.toml"):
        shutil.copy(ROOT / name, copy / name)
    before = _files(copy)
    _write_it(copy / MODEL)
    _run(copy, "manage.py", "makemigrations", "rigs", "-n", "depth_of_inputs")
    changed = {name for name, body in _files(copy).items() if before.get(name) != body}
    (migration,) = changed - {str(MODEL)}
    assert migration.endswith("_depth_of_inputs.py")
    _run(copy, "-m", "pytest", "-q", "-p", "no:cacheprovider", "tests/howto/length_of_an_input.py")


def _write_it(model: Path) -> None:
    """The row after that of the offset, the columns before those of the plan of a kit."""
    text = model.read_text()
    text, rows = re.subn(r'(?=        PartField\(\s*"plan_right_m")', ROW, text)
    text, columns = re.subn("(?=    # Where it is in a plan of a drum kit)", COLUMNS, text)
    assert (rows, columns) == (1, 1)
    model.write_text(text)


def _files(folder: Path) -> dict[str, bytes]:
    found = (path for path in folder.rglob("*.py"))
    return {str(path.relative_to(folder)): path.read_bytes() for path in found}


def _run(copy: Path, *command: str) -> None:
    environment = {
        **{name: value for name, value in os.environ.items() if name != "DATABASE_URL"},
        "DJANGO_SETTINGS_MODULE": "tests.settings",
        "TONELEDGER_DATA": str(copy / "data"),
        "PYTHONPATH": str(copy),
        "PYTHONDONTWRITEBYTECODE": "1",
    }
    done = subprocess.run(
        [sys.executable, *command],
        cwd=copy,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
