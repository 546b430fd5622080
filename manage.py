#!/usr/bin/env python
"""Command-line entry. Works in local mode unless TONELEDGER_MODE says production."""

from __future__ import annotations

import os
import sys


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "core.settings")
    os.environ.setdefault("TONELEDGER_MODE", "local")
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
