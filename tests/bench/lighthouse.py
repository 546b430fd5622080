"""Lighthouse (npm) on the pages that people wait for, as on a phone, of the demonstration as it is
served in use: several workers, compressed static files under hashed names.

    python -m tests.bench.lighthouse [runs]

Needs node and npm; installs the package into a folder that is gone afterwards, as are database and
files. Lighthouse's own phone: a slow processor and a slow network (its default, “mobile”). Prints a
table in Markdown: the median score of so many runs (three, if none is given), then what is below
the best and counts. Everything runs on this machine, which should do nothing else meanwhile.
"""

from __future__ import annotations

import json
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, sync_playwright

from tests.bench.heights import highest, links, log_in
from tests.conftest import find_browser
from tests.support.loaded import ROOT
from tests.support.phones import PHONE, QUIET
from tests.support.running import free_port

PACKAGE = "lighthouse@12.8.2"
CATEGORIES = ("performance", "accessibility", "best-practices", "seo")
WORKERS = 2
Report = dict[str, Any]


@contextmanager
def demonstration(folder: Path) -> Iterator[str]:
    """Its address, while it is served."""
    port = free_port()
    environment = {**os.environ, "TONELEDGER_MODE": "local", "TONELEDGER_DATA": str(folder)}
    for name in ("DATABASE_URL", "DJANGO_SETTINGS_MODULE", "TONELEDGER_DEBUG"):
        environment.pop(name, None)
    command = ["manage.py", "start", "--bind", f"127.0.0.1:{port}", "--workers", str(WORKERS)]
    server = subprocess.Popen(
        [sys.executable, *command],
        cwd=ROOT,
        env=environment,
        stdout=sys.stderr,
    )
    url = f"http://127.0.0.1:{port}"
    try:
        wait_for(url, server)
        yield url
    finally:
        server.terminate()
        server.wait(10)


def wait_for(url: str, server: subprocess.Popen[bytes]) -> None:
    # Long, because the demonstration is loaded first.
    for _ in range(1200):
        if server.poll() is not None:
            raise SystemExit("The server ended before it answered.")
        with suppress(OSError):
            urllib.request.urlopen(f"{url}/login/", timeout=5).read()  # noqa: S310
            return
        time.sleep(0.5)
    raise SystemExit("The server did not answer.")


@contextmanager
def browser(folder: Path) -> Iterator[tuple[int, Page]]:
    """A Chromium with a profile of its own; where Lighthouse finds it, and a page of it."""
    port = free_port()
    with sync_playwright() as playwright:
        # Persistent, so that the tab that Lighthouse opens has the cookies of this page.
        context = playwright.chromium.launch_persistent_context(
            str(folder),
            executable_path=find_browser(),
            args=[*QUIET, f"--remote-debugging-port={port}"],
            viewport=PHONE,
        )
        yield port, context.pages[0]
        context.close()


def pages(page: Page, url: str) -> dict[str, str]:
    """The addresses by what they are called, after the engineer has logged in; of the rigs and
    the published handovers the longest one."""
    place = log_in(page, url)
    rigs = links(page, f"{place}rigs/", "main .card-title a")
    legs = links(page, f"{place}handovers/", "main .card-title a")
    published = sorted({each.split("?")[0].split("#")[0] for each in legs})
    return {
        "overview": place,
        "rig": highest(page, "rig", rigs).url,
        "handover": highest(page, "handover", [f"{each}?for=all" for each in published]).url,
        "input list": f"{place}inputs/",
    }


def audited(folder: Path, url: str, port: int) -> Report:
    """Lighthouse's report on one page."""
    report_at = folder / "report.json"
    command = [
        str(folder / "node_modules" / ".bin" / "lighthouse"),
        url,
        "--quiet",
        f"--port={port}",
        "--output=json",
        f"--output-path={report_at}",
        f"--only-categories={','.join(CATEGORIES)}",
        "--disable-full-page-screenshot",
    ]
    for _ in range(3):
        report_at.unlink(missing_ok=True)
        subprocess.run(command, cwd=folder, check=False)
        report: Report = json.loads(report_at.read_text())
        # On a busy machine it now and then misses the beginning of its own recording.
        if "runtimeError" not in report:
            return report
    raise SystemExit(f"Lighthouse could not load {url}: {report['runtimeError']['message']}")


def lost(report: Report) -> list[str]:
    """The audits that cost points."""
    return [
        f"{name}: {report['audits'][each['id']]['title']} "
        f"({report['audits'][each['id']].get('displayValue', '')})"
        for name in CATEGORIES
        for each in report["categories"][name]["auditRefs"]
        if each["weight"] and (report["audits"][each["id"]]["score"] or 0) < 1
        if report["audits"][each["id"]]["scoreDisplayMode"] not in {"notApplicable", "manual"}
    ]


def row(name: str, reports: list[Report]) -> str:
    scores = [
        round(100 * statistics.median(each["categories"][category]["score"] for each in reports))
        for category in CATEGORIES
    ]
    timed = [
        statistics.median(each["audits"][audit]["numericValue"] for each in reports)
        for audit in ("largest-contentful-paint", "total-blocking-time", "total-byte-weight")
    ]
    paint, blocked, weight = timed[0] / 1000, timed[1], timed[2] / 1024
    figures = " | ".join(str(score) for score in scores)
    return f"| {name} | {figures} | {paint:.1f} | {blocked:.0f} | {weight:.0f} |"


def print_page(name: str, reports: list[Report]) -> None:
    print(row(name, reports), flush=True)
    for each in sorted({each for report in reports for each in lost(report)}):
        print(f"{name}: {each}", file=sys.stderr)


def main(runs: int) -> None:
    if not shutil.which("npm"):
        raise SystemExit("This needs node and npm.")
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        install = ["npm", "install", "--no-audit", "--no-fund", "--prefix", made, PACKAGE]
        subprocess.run(install, check=True, stdout=sys.stderr)
        with demonstration(folder / "data") as url:
            print(f"| page | {' | '.join(CATEGORIES)} | largest paint s | blocked ms | kB |")
            print("|---|" + "---|" * (len(CATEGORIES) + 3))
            with browser(folder / "stranger") as (port, _):
                address = f"{url}/login/"
                print_page("login", [audited(folder, address, port) for _ in range(runs)])
            with browser(folder / "engineer") as (port, page):
                for name, address in pages(page, url).items():
                    print_page(name, [audited(folder, address, port) for _ in range(runs)])


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 3)
