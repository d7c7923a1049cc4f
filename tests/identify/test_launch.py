"""The app started from the command line: on this computer only, whatever the folder."""

import http.client
import os
import socket
import subprocess
import sys
import time

import pytest

from identify.launch import NEEDED, SETTINGS, server_flags
from tests.identify.command import ROOT, assert_refused, radiofixture


def test_the_servers_flags_are_the_settings_file_and_keep_the_app_here():
    flags = server_flags(port=8123, browser=False)
    pairs = list(zip(flags[::2], flags[1::2], strict=True))
    assert set(NEEDED.items()) <= set(pairs)
    assert ("--server.allowedHosts", "localhost") in pairs
    assert ("--server.allowedHosts", "127.0.0.1") in pairs
    assert ("--server.headless", "true") in pairs
    # else a developers' tool is offered over the app's own pages when the browser is opened too
    assert ("--logger.hideWelcomeMessage", "true") in pairs
    assert ("--server.port", "8123") in pairs


def test_settings_that_would_open_the_app_to_the_network_are_refused(tmp_path):
    text = SETTINGS.read_text(encoding="utf-8").replace('"127.0.0.1"\n', '"0.0.0.0"\n', 1)
    (tmp_path / "config.toml").write_text(text, encoding="utf-8")
    with pytest.raises(ValueError, match=r"'server\.address' must be 127\.0\.0\.1"):
        server_flags(port=None, browser=False, settings=tmp_path / "config.toml")


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def health(port, host="127.0.0.1"):
    connection = http.client.HTTPConnection(host, port, timeout=2)
    try:
        connection.request("GET", "/_stcore/health")
        answer = connection.getresponse()
        return answer.status, answer.read().decode()
    finally:
        connection.close()


def wait_for_health(port, server, seconds=40):
    until = time.monotonic() + seconds
    while time.monotonic() < until and server.poll() is None:
        try:
            return health(port)
        except OSError:
            time.sleep(0.2)
    raise AssertionError(f"the app did not answer: {server.stdout.read() if server.poll() else ''}")


def other_address():
    """Return an address of this machine other than 127.0.0.1, or one the loopback answers too."""
    try:
        own = {
            entry[4][0] for entry in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
        }
    except OSError:
        own = set()
    return next((address for address in own if not address.startswith("127.")), "127.0.0.2")


@pytest.mark.app
def test_the_app_started_in_an_empty_folder_listens_on_this_computer_only(tmp_path):
    port = free_port()
    server = subprocess.Popen(
        [sys.executable, "-m", "identify.cli", "app", "--port", str(port)],
        cwd=tmp_path,
        env=os.environ | {"PYTHONPATH": str(ROOT), "HOME": str(tmp_path)},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    try:
        assert wait_for_health(port, server) == (200, "ok")
        with pytest.raises(OSError, match=r"refused|timed out|assign|unreachable"):
            health(port, other_address())
        assert_refused(radiofixture("app", "--port", port), f"port {port} is taken")
    finally:
        server.terminate()
        said = server.communicate(timeout=20)[0]
    assert f"http://127.0.0.1:{port} " in said
