"""The command line: parse, call, print, exit code. No arithmetic happens here.

Exit codes: 0 done; 1 done, but a finding fails or the kit misses its limits; 2 bad input;
70 a fault of fitkit's own; 130 interrupted, with the best so far saved.
"""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Sequence
from typing import NoReturn

DONE, FAILS, BAD_INPUT, OUR_FAULT, INTERRUPTED = 0, 1, 2, 70, 130


def main() -> None:
    """Run the command line of this process and leave with its exit code."""
    code = run(sys.argv[1:])
    if threading.active_count() > 1 and code == INTERRUPTED:
        _leave_at_once(code)
    sys.exit(code)


def _leave_at_once(code: int) -> NoReturn:
    """Leave while a stage is still at work, after a second Ctrl-C.

    The usual way out would wait for libraries that do not listen, or crash in them.
    """
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(code)


def run(args: Sequence[str]) -> int:
    """Run ``fitkit`` with ``args`` and return its exit code; no traceback reaches the user.

    With FITKIT_DEBUG=1 in the environment, a fault of fitkit's own is raised instead of being
    put into one line.
    """
    import click

    from fitkit.cli.commands import fitkit

    for stream in (sys.stdout, sys.stderr):
        # a terminal that lacks a sign shows "?" for it, rather than stopping the program
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        code = fitkit.main(args=list(args), prog_name="fitkit", standalone_mode=False)
    except click.ClickException as error:
        error.show()
        return error.exit_code
    except (KeyboardInterrupt, click.Abort):
        print("Interrupted; nothing was saved.", file=sys.stderr)  # noqa: T201 - the last word
        return INTERRUPTED
    except BrokenPipeError:
        # the reader of our output went away; keep the interpreter from writing to it again
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except Exception as error:  # the one place where all else ends
        from fitkit.errors import FitkitError

        if isinstance(error, FitkitError):
            print(error, file=sys.stderr)  # noqa: T201 - the last word
            return BAD_INPUT
        if os.environ.get("FITKIT_DEBUG"):
            raise
        print(  # noqa: T201 - the last word
            f"This is a fault in fitkit, not in your input: {type(error).__name__}: {error}\n"
            "Run it again with FITKIT_DEBUG=1 for the details, and report them with your sheet.",
            file=sys.stderr,
        )
        return OUR_FAULT
    return code if isinstance(code, int) else DONE
