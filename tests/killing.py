"""Work in a child process that is killed in the midst of it, without a chance to tidy up."""

from __future__ import annotations

import os
import signal
import time
import traceback
from collections.abc import Callable

Tell = Callable[[str], None]


def killed(work: Callable[[Tell], None], after_s: float, lines: int = 0) -> list[str]:
    """Fork, let the child work, kill it after a while; return the lines that it told until then.

    The while begins when so many lines were told.

    A line is told whole before the child goes on, as an answer to whoever entered something would
    be. A child that comes to its end before that is not killed. One that fails fails the test.
    """
    told, telling = os.pipe()
    child = os.fork()
    if child == 0:
        code = 1
        try:
            os.close(told)
            work(lambda line: _write(telling, line))
            code = 0
        except BaseException:
            traceback.print_exc()
        finally:
            os._exit(code)
    os.close(telling)
    with os.fdopen(told, encoding="utf-8") as stream:
        text = "".join(stream.readline() for _ in range(lines))
        time.sleep(after_s)
        os.kill(child, signal.SIGKILL)  # one that has ended waits for us: it is still this one
        text += stream.read()
    _, status = os.waitpid(child, 0)
    assert os.WIFSIGNALED(status) or os.WEXITSTATUS(status) == 0, "the child failed"
    return text.splitlines()


def _write(telling: int, line: str) -> None:
    os.write(telling, f"{line}\n".encode())
