"""A process that would run unsafely does not start."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
# What a process needs from this machine, and nothing that might set the service up by accident.
NEEDED = ("PATH", "HOME", "LANG", "LD_LIBRARY_PATH")


def start(tmp_path: Path, code: str = "", **environment: str) -> subprocess.CompletedProcess[str]:
    clean = {name: os.environ[name] for name in NEEDED if name in os.environ}
    clean |= {"DJANGO_SETTINGS_MODULE": "core.settings", "TONELEDGER_DATA": str(tmp_path)}
    return subprocess.run(
        [sys.executable, "-c", f"import django; django.setup(); {code}"],
        env=clean | environment,
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )


def test_production_refuses_to_start_without_a_secret(tmp_path: Path) -> None:
    done = start(tmp_path)
    assert done.returncode == 1
    assert (
        "ImproperlyConfigured: Set the environment variable TONELEDGER_SECRET_KEY: "
        "a long random text that signs sessions." in done.stderr
    )


def test_production_refuses_a_blank_secret(tmp_path: Path) -> None:
    assert start(tmp_path, TONELEDGER_SECRET_KEY="   ").returncode == 1


def test_production_starts_with_a_secret_and_is_strict(tmp_path: Path) -> None:
    code = (
        "from django.conf import settings as s; "
        "print(s.DEBUG, s.SESSION_COOKIE_SECURE, s.CSRF_COOKIE_SECURE, s.SECURE_SSL_REDIRECT, "
        "s.ALLOWED_HOSTS)"
    )
    done = start(tmp_path, code, TONELEDGER_SECRET_KEY="a" * 50, TONELEDGER_DEBUG="1")
    assert done.stdout.strip() == "False True True True []", done.stderr


def test_local_mode_keeps_a_secret_of_its_own(tmp_path: Path) -> None:
    code = "from django.conf import settings; print(settings.SECRET_KEY)"
    first = start(tmp_path, code, TONELEDGER_MODE="local")
    second = start(tmp_path, code, TONELEDGER_MODE="local")
    assert len(first.stdout.strip()) > 50, first.stderr
    assert second.stdout == first.stdout
    assert (tmp_path / "secret_key").stat().st_mode & 0o777 == 0o600


def test_an_unknown_mode_is_refused(tmp_path: Path) -> None:
    done = start(tmp_path, TONELEDGER_MODE="debug")
    assert "TONELEDGER_MODE must be one of local, production, not 'debug'" in done.stderr
