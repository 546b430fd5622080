"""The files in docs/deployment: the lines of the units as systemd reads them, and the steps of the
container with its limits, as far as they go without the program that runs containers.
"""

from __future__ import annotations

import contextlib
import http.client
import json
import os
import re
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.support.loaded import ROOT
from tests.support.patience import PATIENCE_S
from tests.support.prepared import prepare
from tests.support.running import free_port, sqlite_environment

FOLDER = ROOT / "docs/deployment"
NOBODY = 65534
UNITS = ("toneledger.service", "toneledger-daily.service", "toneledger-daily.timer")
# Run in a mount namespace of its own: all is read-only but the data, as the container has it.
LIMITS = """
mount --make-rprivate / && mount --bind "$DATA" "$DATA" && mount -t tmpfs none /run &&
mount -o remount,bind,ro / && cd "$CODE" &&
exec setpriv --reuid "$AS" --regid "$AS" --clear-groups --no-new-privs --bounding-set -all \
  /bin/sh docs/deployment/in-container "$@"
"""


def lines_of(name: str) -> list[str]:
    text = (FOLDER / name).read_text().replace("\\\n", " ")
    return [each for each in text.splitlines() if each and not each.startswith("#")]


def test_systemd_takes_every_line_of_the_units(tmp_path: Path) -> None:
    program = shutil.which("systemd-analyze")
    if not program:
        pytest.skip("systemd-analyze is not installed")
    for name in UNITS:
        # Programs are looked for on this machine, where they lie elsewhere.
        text = (FOLDER / name).read_text()
        (tmp_path / name).write_text(
            text.replace("/srv/toneledger/.venv/bin/python", sys.executable)
        )
    units = [str(tmp_path / name) for name in UNITS]
    done = subprocess.run([program, "verify", *units], capture_output=True, text=True, check=False)
    # Of other units of this machine it may complain as well.
    assert [each for each in done.stderr.splitlines() if "toneledger" in each] == []
    assert done.returncode == 0
    (tmp_path / UNITS[0]).write_text("[Service]\nExecStart=/bin/true\nProtectSytem=yes\n")
    done = subprocess.run(
        [program, "verify", units[0]], capture_output=True, text=True, check=False
    )
    assert "ProtectSytem" in done.stderr  # it would have said so


def test_what_is_called_is_there() -> None:
    from django.core.management import get_commands

    called = re.findall(r"manage\.py (\w+)", "\n".join(map("\n".join, map(lines_of, UNITS))))
    assert set(called) <= set(get_commands()), called
    variables = re.findall(
        r"TONELEDGER_\w+", "\n".join(map("\n".join, map(lines_of, [*UNITS, "Containerfile"])))
    )
    guide = (ROOT / "docs/deployment.md").read_text()
    assert [each for each in variables if f"`{each}`" not in guide] == []


def test_the_container_is_built_of_what_is_there_and_runs_as_nobody_in_particular() -> None:
    steps = [line.split(maxsplit=1) for line in lines_of("Containerfile")]
    for source in (each for word, rest in steps if word == "COPY" for each in rest.split()[:-1]):
        assert (ROOT / source).exists(), source
    words = [word for word, _ in steps]
    (user,) = [rest for word, rest in steps if word == "USER"]
    assert int(user.partition(":")[0]) > 0
    assert words.index("USER") > max(place for place, word in enumerate(words) if word == "RUN")
    (entry,) = [json.loads(rest) for word, rest in steps if word == "ENTRYPOINT"]
    assert (ROOT / entry[1]).exists()
    (served,) = [json.loads(rest) for word, rest in steps if word == "CMD"]
    assert served[0] == "serve"


@pytest.mark.own_sqlite
def test_it_serves_with_a_root_that_is_read_only_and_without_rights(tmp_path: Path) -> None:
    if os.geteuid() != 0 or subprocess.run(["unshare", "-m", "true"], check=False).returncode:
        pytest.skip("mounting in a namespace of its own is not allowed here")
    if tmp_path.is_relative_to("/run") or ROOT.is_relative_to("/run"):
        pytest.skip("the folders of this run lie where the container has none")
    data, image, port = tmp_path / "data", tmp_path / "image", free_port()
    _copied(image)
    prepare(data)
    user = _somebody()
    for each in (data, *data.rglob("*")):
        os.chown(each, user, user)
    for each in tmp_path.parents[:2]:
        each.chmod(0o755)
    environment = {
        **sqlite_environment(data),
        "AS": str(user),
        "DATA": str(data),
        "CODE": str(image),
        "PYTHONPATH": str(image),
        "TONELEDGER_METRICS_DIR": "/run/figures",
        "TONELEDGER_MODE": "production",
        "TONELEDGER_SECRET_KEY": "k" * 60,
        "DJANGO_SETTINGS_MODULE": "core.settings",
        "TONELEDGER_HOSTS": "notebook.example",
        "PATH": f"{Path(sys.executable).parent}:{os.environ['PATH']}",
        "PYTHONDONTWRITEBYTECODE": "1",
    }
    served = subprocess.Popen(
        [
            *("unshare", "--mount", "/bin/sh", "-c", LIMITS, "sh", "serve"),
            *("--bind", f"127.0.0.1:{port}", "--workers", "1"),
        ],
        env=environment,
        start_new_session=True,
    )
    try:
        assert _ready(port, served) == dict.fromkeys(
            ("database", "migrations", "triggers", "storage"), "ok"
        )
        status = Path(f"/proc/{served.pid}/status").read_text()
        assert f"\nUid:\t{user}\t{user}\t{user}\t{user}\n" in status
        assert "\nCapEff:\t0000000000000000\n" in status
        assert "\nCapBnd:\t0000000000000000\n" in status
        assert "\nNoNewPrivs:\t1\n" in status
        served.terminate()
        served.wait(PATIENCE_S)
    finally:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(served.pid, signal.SIGKILL)


def _copied(image: Path) -> None:
    """What the steps of the image copy into it, and nothing else: so all that it needs is there."""
    for words in (line.split()[1:] for line in lines_of("Containerfile") if line[:5] == "COPY "):
        *sources, target = words
        for source in sources:
            place = image / target / source if target == "./" else image / target
            if (ROOT / source).is_dir():
                shutil.copytree(ROOT / source, place)
            else:
                place.parent.mkdir(parents=True, exist_ok=True)
                shutil.copy2(ROOT / source, place)


def _somebody() -> int:
    """A user without rights; the one of this run, but without any, where nobody else may read the
    Python that runs the tests."""
    for user in (NOBODY, os.geteuid()):
        without = ("--no-new-privs", "--bounding-set", "-all", "--clear-groups")
        words = ["setpriv", "--reuid", str(user), "--regid", str(user), *without]
        # By a shell in between: setpriv itself still has the rights that what it starts has not.
        asked = ["/bin/sh", "-c", '"$0" -c ""', sys.executable]
        done = subprocess.run([*words, *asked], cwd=ROOT, check=False)
        if done.returncode == 0:
            return user
    pytest.skip("nobody without rights may run the Python that runs the tests")


def _ready(port: int, served: subprocess.Popen[bytes]) -> dict[str, str]:
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end:
        assert served.poll() is None
        with contextlib.suppress(OSError):
            asked = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE_S)
            asked.request("GET", "/readyz")
            found: dict[str, str] = json.loads(asked.getresponse().read())
            return found
        time.sleep(0.3)
    raise AssertionError("it did not serve")
