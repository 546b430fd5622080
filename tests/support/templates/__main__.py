"""The command: formats the templates, or names those that are not formatted."""

from __future__ import annotations

import argparse
import sys

from tests.support.templates.atoms import Unreadable
from tests.support.templates.files import ROOT, templates
from tests.support.templates.layout import WIDTH, formatted, long_lines


def main(arguments: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description="Format the templates.")
    parser.add_argument("--write", action="store_true")
    parser.add_argument("--check", action="store_true")
    write = parser.parse_args(arguments).write
    complaints = []
    for path in templates():
        source = path.read_text()
        name = path.relative_to(ROOT)
        try:
            text = formatted(source)
        except Unreadable as error:
            complaints.append(f"{name}: {error}")
            continue
        if write and text != source:
            path.write_text(text)
        elif text != source:
            complaints.append(f"{name}: not formatted")
        complaints += [f"{name}:{n}: over {WIDTH} characters" for n in long_lines(text)]
    sys.stdout.write("".join(f"{each}\n" for each in complaints))
    return 1 if complaints else 0


if __name__ == "__main__":
    sys.exit(main())
