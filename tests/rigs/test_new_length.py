"""A length is added to inputs as DEVELOPERS.md says: in one file and its migration, no other.

Done for real, in a copy of the source; tests/howto/length_of_an_input.py then looks for it there.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.support.source_copy import SourceCopy, assert_takes

MODEL = "rigs/models/inputs.py"
ROW = """        PartField(
            "depth_m",
            FieldRole.PLACEMENT,
            ValueKind.LENGTH,
            searched=True,
            at_shows=True,
            with_device=True,
            group=WHERE,
            phrase=Phrase("{value} deep"),
            column=ListColumn("Depth", ("howdeep",), 185),
        ),
"""
COLUMNS = """    depth_m = LengthField("depth inside")
    depth_unit = LengthUnitField()
"""


@pytest.mark.own_sqlite
def test_a_new_length_is_found_everywhere_after_one_file_was_edited(tmp_path: Path) -> None:
    copy = SourceCopy(tmp_path)
    # The row after that of the offset, the columns before those of the plan of a kit.
    copy.put_before(MODEL, r'        PartField\(\s*"plan_right_m"', ROW)
    copy.put_before(MODEL, "    # Where it is in a plan of a drum kit", COLUMNS)
    copy.run("manage.py", "makemigrations", "rigs", "-n", "depth_of_inputs")
    assert_takes("Add a field to a part", copy.changed())
    copy.test("tests/howto/length_of_an_input.py")
