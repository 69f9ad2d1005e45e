"""A server extension that shows the notebooks as pages without code, by Voila, in our own look.

It runs in the same server as JupyterLab, so that what holds for a kernel's connection holds here
too. Its templates ask nothing of the network.
"""

from __future__ import annotations

import os
import re
from importlib.resources import files
from pathlib import Path
from typing import Any

from jupyter_server.base.handlers import APIHandler, AuthenticatedFileHandler
from jupyter_server.utils import ensure_async, url_path_join
from tornado.web import HTTPError, authenticated

from fitkit.notebook.lab.folder import in_order

MODULE = "fitkit.notebook.lab.app"
SHOWN = re.compile(r".*\.(html|png|jpg|gif|svg|pdf|dxf|csv|json|toml)", re.IGNORECASE)
"""Which of the builder's files a page may link to: what fitkit writes, and sheets."""

NO_FORMULAS = (
    "data:text/javascript,MathJax={Hub:{Config(){},Configured(){},Queue(){},"
    "Register:{StartupHook(){}}}}//"
)
"""Voila would fetch a library for formulas from far away; our pages have none: it gets a stub."""

FAILED = (
    "This part could not be made. Load the page again; if it stays so, open the notebook with "
    '"fitkit lab" (without --app), run it, and read what it says.'
)


class FolderFile(AuthenticatedFileHandler):
    """A file of the builder's folder that a page links to; what goes wrong is said in words."""

    @property
    def content_security_policy(self) -> str:
        """What a file may do in the browser: it may offer files, but not speak for the builder."""
        return "sandbox allow-scripts allow-popups allow-downloads"

    def check_xsrf_cookie(self) -> None:
        """An address that is typed or kept as a bookmark is answered too: files are only read."""

    def validate_absolute_path(self, root: str, absolute_path: str) -> str:
        """The file's path; HTTPError 403 for what is no file of ours, 404 where it is missing."""
        if SHOWN.fullmatch(absolute_path) is None:
            raise HTTPError(403)
        return super().validate_absolute_path(root, absolute_path)

    def write_error(self, status_code: int, **_: Any) -> None:
        """Say what is wrong, and where to go on."""
        template = self.settings["voila_jinja2_env"].get_template("error.html")
        self.set_header("Content-Type", "text/html; charset=UTF-8")
        self.finish(
            template.render(
                status_code=status_code, status_message=self._reason, base_url=self.base_url
            )
        )


class LeftPage(APIHandler):
    """The word of a page that is left: its kernel ends, and with it what it does beside.

    Voila's own handler asks for a token that a page does not send as it closes.
    """

    def check_xsrf_cookie(self) -> None:
        """In place of a token: HTTPError 403 unless the word comes from a page of this server."""
        if not hasattr(self, "_jupyter_current_user"):
            return  # too early: it is asked again once it is known who speaks
        if self.request.headers.get("Origin") is None or not self.check_origin():
            raise HTTPError(403)

    @authenticated
    async def post(self, kernel_id: str) -> None:
        """End the kernel."""
        await ensure_async(self.kernel_manager.shutdown_kernel(kernel_id))
        self.set_status(204)
        self.finish()


def _jupyter_server_extension_points() -> list[dict[str, str]]:
    return [{"module": MODULE}]


def _load_jupyter_server_extension(server_app: Any) -> None:
    share = str(Path(str(files("fitkit.notebook.lab"))) / "share")
    known = os.environ.get("JUPYTER_PATH")
    os.environ["JUPYTER_PATH"] = os.pathsep.join([share, known] if known else [share])
    names = [path.stem for path in in_order(Path(server_app.root_dir))]
    server_app.config.VoilaConfiguration.update(
        {
            "template": "fitkit",
            "allow_template_override": "NO",
            "classic_tree": True,
            "resources": {"notebooks": names},
        }
    )
    server_app.config.VoilaExecutor.cell_error_instruction = FAILED
    server_app.web_app.settings["mathjax_url"] = NO_FORMULAS
    from voila.server_extension import load_jupyter_server_extension

    # asked before Voila's own, which serve files to whoever asks, and refuse the pages' last word
    base = server_app.web_app.settings["base_url"]
    root = {"path": str(server_app.root_dir)}
    ours = [
        (url_path_join(base, r"/voila/files/(.*)"), FolderFile, root),
        (url_path_join(base, r"/voila/api/shutdown/(.*)"), LeftPage),
    ]
    server_app.web_app.add_handlers(".*$", ours)
    load_jupyter_server_extension(server_app)
