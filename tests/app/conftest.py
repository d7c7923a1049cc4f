"""One server and one browser for all browser tests, a fresh page for each."""

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest

from identify.casebook import Casebook
from identify.launch import server_flags
from tests.app.steps import started

ROOT = Path(__file__).resolve().parents[2]
APP = ROOT / "app.py"
FILM_VARIABLE = "RADIOFIXTURE_FILM"
CHROMIUM = ("chromium", "chromium-browser", "google-chrome")
CHROMIUM_ARGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]


def pytest_collection_modifyitems(items):
    for item in items:
        if Path(__file__).parent in item.path.parents:
            item.add_marker(pytest.mark.app)


@pytest.fixture(autouse=True)
def casebook_of_its_own(request, monkeypatch, tmp_path):
    """What one test keeps is not found again by the next; tests of the server share its folder."""
    if "page" not in request.fixturenames:
        monkeypatch.setenv("RADIOFIXTURE_DATA", str(tmp_path))


@pytest.fixture
def app(monkeypatch):
    """The app on its first demo film, without a browser."""
    monkeypatch.delenv(FILM_VARIABLE, raising=False)
    return started()


@pytest.fixture
def book(app, tmp_path):
    """The casebook it keeps (`casebook_of_its_own`)."""
    return Casebook(tmp_path)


def skip_or_fail(reason):
    """On a build machine a missing browser is a fault, not an excuse."""
    if os.environ.get("CI") == "true":
        pytest.fail(reason)
    pytest.skip(reason)


def wait_until_healthy(url, process, log):
    end = time.monotonic() + 60
    while time.monotonic() < end:
        if process.poll() is not None:
            pytest.fail(f"the server ended with {process.returncode}:\n{log.read_text()}")
        try:
            health = f"{url}/_stcore/health"
            with urllib.request.urlopen(health, timeout=1) as answer:  # noqa: S310 - our own server
                if answer.status == 200:
                    return
        except OSError:
            time.sleep(0.1)
    pytest.fail(f"the server was not healthy within 60 s:\n{log.read_text()}")


@pytest.fixture(scope="session")
def app_url(tmp_path_factory):
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    folder = tmp_path_factory.mktemp("elsewhere")
    log = folder / "server.log"
    command = [sys.executable, "-m", "streamlit", "run", str(APP)]
    command += server_flags(port=port, browser=False)
    environment = {k: v for k, v in os.environ.items() if k != FILM_VARIABLE}
    with log.open("w") as out:
        process = subprocess.Popen(command, cwd=folder, env=environment, stdout=out, stderr=out)
    try:
        url = f"http://127.0.0.1:{port}"
        wait_until_healthy(url, process, log)
        yield url
    finally:
        process.terminate()
        process.wait(10)


@pytest.fixture(scope="session")
def browser():
    try:
        from playwright.sync_api import Error, sync_playwright  # noqa: PLC0415 - may be missing
    except ImportError:
        skip_or_fail("playwright is not installed: pip install -e '.[test]'")
    named = os.environ.get("CHROMIUM")
    path = named or next(filter(None, map(shutil.which, CHROMIUM)), None)
    if path is None:
        skip_or_fail("no Chromium found: install it, or set CHROMIUM=/path/to/it")
    with sync_playwright() as playwright:
        try:
            started = playwright.chromium.launch(executable_path=path, args=CHROMIUM_ARGS)
        except Error as error:
            skip_or_fail(f"Chromium does not start: {str(error).splitlines()[0]}")
        yield started
        started.close()


@pytest.fixture
def page(browser, app_url):
    """The app's first page; any outside request or console error fails the test."""
    context = browser.new_context(viewport={"width": 1280, "height": 1000})
    opened = context.new_page()
    opened.set_default_timeout(15_000)
    problems = []
    ours = (app_url, app_url.replace("http", "ws"), "data:", "blob:", "about:")

    def look_at_request(request):
        if not request.url.startswith(ours):
            problems.append(f"left the machine: {request.url}")

    def look_at_message(message):
        if message.type == "error":
            problems.append(message.text)

    opened.on("request", look_at_request)
    opened.on("console", look_at_message)
    opened.on("pageerror", lambda error: problems.append(str(error)))
    opened.goto(app_url)
    opened.locator(".film[data-ready]").wait_for()
    yield opened
    context.close()
    assert not problems, problems
