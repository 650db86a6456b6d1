"""An executor that runs each call at once, in the caller's thread."""

from __future__ import annotations

from concurrent.futures import Executor, Future


class Serial(Executor):
    """For work that is parallel already, or too small to be."""

    def submit(self, fn, /, *args, **kwargs):  # type: ignore[no-untyped-def]
        future: Future[object] = Future()
        try:
            future.set_result(fn(*args, **kwargs))
        except Exception as error:
            # As an executor does: whoever asks for the result gets the error.
            future.set_exception(error)
        return future
