"""A process beside the page for what takes seconds of thinking: the page answers meanwhile, and what fails there fails alone."""

from __future__ import annotations

import multiprocessing
import queue
import signal
import threading
from collections.abc import Callable
from concurrent.futures import Future
from multiprocessing.connection import Connection
from typing import Any, ParamSpec, TypeVar

P = ParamSpec("P")
R = TypeVar("R")


class BrokeOff(Exception):
    """The process ended before it had an answer."""


class Searcher:
    """Works off calls in the order they come, in one process that is started with the first and again where it breaks off."""

    def __init__(self) -> None:
        self._calls: queue.SimpleQueue[tuple[Future[Any], Callable[..., Any], tuple[Any, ...]] | None] = queue.SimpleQueue()
        self._lock = threading.Lock()
        self._thread: threading.Thread | None = None
        self._process: multiprocessing.process.BaseProcess | None = None
        self._closed = False

    def submit(self, work: Callable[P, R], *args: P.args, **_none: P.kwargs) -> Future[R]:
        """`work` is a function of a module; its arguments and answer go to another process. Raises `RuntimeError` once closed."""
        with self._lock:
            if self._closed:
                raise RuntimeError("closed")
            if self._thread is None:
                self._thread = threading.Thread(target=self._run, name="searcher", daemon=True)
                self._thread.start()
            future: Future[R] = Future()
            self._calls.put((future, work, args))
            return future

    def close(self) -> None:
        """End the process, whatever it is at; calls that wait are cancelled."""
        with self._lock:
            self._closed = True
            process, thread = self._process, self._thread
        self._calls.put(None)
        if process is not None:
            process.terminate()
        if thread is not None:
            thread.join(5)

    def _run(self) -> None:
        there: Connection | None = None
        while (call := self._calls.get()) is not None:
            future, work, args = call
            if self._closed or not future.set_running_or_notify_cancel():
                future.cancel()
                continue
            try:
                there = there or self._start()
                there.send((work, args))
                well, answer = there.recv()
            except (EOFError, OSError) as error:
                there = None
                future.set_exception(BrokeOff(str(error)))
                continue
            if well:
                future.set_result(answer)
            else:
                future.set_exception(answer)

    def _start(self) -> Connection:
        # A process made anew: a copy of this one would have copies of locks that other threads hold.
        context = multiprocessing.get_context("spawn")
        here, theirs = context.Pipe()
        process = context.Process(target=_serve, args=(theirs,), name="yieldopt search", daemon=True)
        process.start()
        theirs.close()
        with self._lock:
            self._process = process
            if self._closed:
                process.terminate()
        return here


def _serve(calls: Connection) -> None:
    # Ctrl-C at the terminal goes to every process; the page decides when this one ends.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    while True:
        try:
            work, args = calls.recv()
        except EOFError:
            return  # the page is gone
        try:
            answer = True, work(*args)
        except Exception as error:
            answer = False, error
        try:
            calls.send(answer)
        except OSError:
            return
        except Exception as error:  # an answer that can't be sent is as good as none
            calls.send((False, BrokeOff(f"{type(error).__name__}: {error}")))
