"""Start the app's server on this computer only, whatever folder the command is given in.

Streamlit reads its settings from the folder it is started in; elsewhere it would listen on every
interface and send usage statistics. So the settings beside the package go in as flags.
"""

from __future__ import annotations

import runpy
import socket
import sys
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import typer

from features.input_file import BadInput

ROOT = Path(__file__).resolve().parents[1]
SETTINGS = ROOT / ".streamlit" / "config.toml"
APP = ROOT / "app.py"
ADDRESS = "127.0.0.1"
PORTS = range(8501, 8601)
# without these the app would not be safe to start, so a settings file that lost one is refused
NEEDED = {
    "--server.address": ADDRESS,
    "--browser.gatherUsageStats": "false",
    "--client.showErrorDetails": "none",
}


def launch(film: Path | None = None, *, port: int | None = None, browser: bool = False) -> None:
    """Serve the app until it is stopped.

    Parameters
    ----------
    film : Path, optional
        Handed to the app as its first argument.
    port : int, optional
        The next free one from 8501 where left out.
    browser : bool
        Also open the browser.

    Raises
    ------
    BadInput
        The film or a part of the installation is missing.
    """
    if film is not None and not film.is_file():
        raise BadInput(f"{film}: there is no such film; check the path.")
    if not APP.is_file():
        raise BadInput(f"{APP}: the app is missing; install radiofixture again.")
    port = _usable(port)
    arguments = ["run", str(APP), *server_flags(port=port, browser=browser)]
    if film is not None:
        arguments += ["--", str(film.resolve())]
    # Streamlit's own welcome is off: with it come offers of developers' tools, over our pages too
    typer.echo(f"Radiofixture: http://{ADDRESS}:{port} (Ctrl+C stops it)")
    # as `python -m streamlit` would, in this process: one to stop, and no child left behind
    sys.argv = ["streamlit", *arguments]
    runpy.run_module("streamlit", run_name="__main__")


def _usable(port: int | None) -> int:
    """The port asked for, if it can be had, or the next that can."""
    found = next(filter(_is_free, PORTS if port is None else (port,)), None)
    if found is not None:
        return found
    if port is None:
        raise BadInput(f"ports {PORTS[0]} to {PORTS[-1]} are taken; give another with '--port'.")
    raise BadInput(f"port {port} is taken or not allowed; give another with '--port', or none.")


def _is_free(port: int) -> bool:
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((ADDRESS, port))
        except OSError:
            return False
    return True


def server_flags(*, port: int | None, browser: bool, settings: Path = SETTINGS) -> list[str]:
    """Return the settings file as Streamlit's command-line flags.

    Raises
    ------
    BadInput
        The file is missing, or does not keep the app on this computer.
    """
    try:
        options = dict(_flatten(tomllib.loads(settings.read_text(encoding="utf-8")), "-"))
    except (OSError, tomllib.TOMLDecodeError) as error:
        raise BadInput(
            f"{settings}: the app's settings cannot be read ({error}); install radiofixture again."
        ) from None
    if browser:
        options |= {"--server.headless": ["false"], "--server.showEmailPrompt": ["false"]}
    if port is not None:
        options["--server.port"] = [str(port)]
    for flag, value in NEEDED.items():
        if options.get(flag) != [value]:
            raise BadInput(f"{settings}: '{flag.lstrip('-')}' must be {value}; restore the file.")
    return [word for flag, values in options.items() for value in values for word in (flag, value)]


def _flatten(table: Mapping[str, Any], prefix: str) -> Iterator[tuple[str, list[str]]]:
    for key, value in table.items():
        flag = f"{prefix}.{key}" if prefix != "-" else f"--{key}"
        if isinstance(value, dict):
            yield from _flatten(value, flag)
        else:
            yield flag, [_word(one) for one in (value if isinstance(value, list) else [value])]


def _word(value: Any) -> str:
    return str(value).lower() if isinstance(value, bool) else str(value)
