"""The server extension, looked at on the sockets of a real server."""

from __future__ import annotations

import asyncio
import gc
import json
import socket
import tomllib
from pathlib import Path
from typing import Any

import pytest

from fitkit.notebook.lab import nodelay
from lab_server import ROOT, free_port

pytest.importorskip("jupyter_server", reason="the extra lab is not installed")


async def _option_on_a_kernels_websocket(folder: Path, *, enabled: bool) -> int:
    """TCP_NODELAY on the server's side of a websocket to a kernel."""
    from jupyter_server.serverapp import ServerApp
    from tornado.httpclient import AsyncHTTPClient
    from tornado.iostream import IOStream
    from tornado.websocket import websocket_connect

    port = free_port()
    app: Any = ServerApp()
    app.initialize(
        argv=[
            f"--ServerApp.root_dir={folder}",
            "--ServerApp.ip=127.0.0.1",
            f"--ServerApp.port={port}",
            "--ServerApp.open_browser=False",
            "--ServerApp.allow_root=True",
            "--IdentityProvider.token=",
            "--ServerApp.password=",
            "--ServerApp.disable_check_xsrf=True",
            f"--ServerApp.jpserver_extensions={nodelay.MODULE}={enabled}",
        ],
        find_extensions=False,
    )
    base = f"127.0.0.1:{port}"
    try:
        answer = await AsyncHTTPClient().fetch(
            f"http://{base}/api/kernels", method="POST", body="{}", request_timeout=60
        )
        kernel = json.loads(answer.body)["id"]
        link = await websocket_connect(f"ws://{base}/api/kernels/{kernel}/channels")
        ours = link.protocol.stream.socket.getsockname()
        (stream,) = [
            one
            for one in gc.get_objects()
            if isinstance(one, IOStream)
            and one.socket is not None
            and one.socket.fileno() >= 0
            and _peer(one.socket) == ours
        ]
        value = int(stream.socket.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY))
        link.close()
        return value
    finally:
        await app._cleanup()


def _peer(one: socket.socket) -> Any:
    try:
        return one.getpeername()
    except OSError:
        return None


@pytest.fixture(autouse=True)
def _own_settings(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    for name in ("CONFIG", "DATA", "RUNTIME"):
        monkeypatch.setenv(f"JUPYTER_{name}_DIR", str(tmp_path / name.lower()))


def test_a_kernels_websocket_sends_at_once(tmp_path: Path) -> None:
    """With the extension the option is set on the server's socket."""
    assert asyncio.run(_option_on_a_kernels_websocket(tmp_path, enabled=True)) != 0


def test_the_wheel_enables_it_for_the_environment() -> None:
    """The settings that the wheel installs name the extension's module, and it can be loaded."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    shared = project["tool"]["hatch"]["build"]["targets"]["wheel"]["shared-data"]
    (source,) = [
        path
        for path, target in shared.items()
        if target == "etc/jupyter/jupyter_server_config.d/fitkit.json"
    ]
    told = json.loads((ROOT / source).read_text(encoding="utf-8"))
    assert told == {"ServerApp": {"jpserver_extensions": {nodelay.MODULE: True}}}
    assert nodelay._jupyter_server_extension_points() == [{"module": nodelay.__name__}]
