"""Many pictures at once: on all processors, with a progress bar.

A file that fails does not stop the others.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from threading import Thread
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence
    from multiprocessing.process import BaseProcess

    from mapper.problems import Problem

Job = TypeVar("Job")

# Below this a pool costs more time than it saves.
_FEW = 6


def processors() -> int:
    """How many processors this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def for_all(
    work: Callable[[Job], list[Problem]],
    jobs: Sequence[Job],
    *,
    preload: Sequence[str] = (),
    label: str = "",
) -> list[Problem]:
    """Do ``work`` on every job and return all problems, in the order of the jobs.

    ``work`` is a function of a module, so that another process can find it; it returns its problems
    and raises nothing. ``preload`` names modules that every process needs: they are imported once.
    The bar is on standard error, where that is a terminal.
    """
    results = _results(work, jobs, preload)
    if not sys.stderr.isatty():
        return [problem for problems in results for problem in problems]
    import click

    with click.progressbar(
        results, length=len(jobs), label=label, file=sys.stderr, show_pos=True
    ) as bar:
        return [problem for problems in bar for problem in problems]


def _results(
    work: Callable[[Job], list[Problem]], jobs: Sequence[Job], preload: Sequence[str]
) -> Iterator[list[Problem]] | Iterable[list[Problem]]:
    workers = min(processors(), len(jobs))
    if workers == 1 or len(jobs) < _FEW:
        return map(work, jobs)
    return _pooled(work, jobs, preload, workers)


def _pooled(
    work: Callable[[Job], list[Problem]], jobs: Sequence[Job], preload: Sequence[str], workers: int
) -> Iterator[list[Problem]]:
    if "forkserver" in multiprocessing.get_all_start_methods():
        from multiprocessing import forkserver, resource_tracker

        # A clean process imports what is needed once, and its copies start with that in place.
        context = multiprocessing.get_context("forkserver")
        context.set_forkserver_preload(list(preload))
        # The process that copies come from hears no Control-C, which would interrupt its imports.
        resource_tracker.ensure_running()  # its own start unblocks SIGINT again
        with _interrupts_blocked():
            forkserver.ensure_running()
    else:
        context = multiprocessing.get_context("spawn")  # type: ignore[assignment]
    with ProcessPoolExecutor(workers, mp_context=context, initializer=_begin_worker) as pool:
        try:
            with _interrupts_blocked():  # every worker is started in here, and is ours to end
                done = pool.map(work, jobs, chunksize=max(1, min(8, len(jobs) // (4 * workers))))
            yield from done
        except BaseException:
            # Each worker ends with the picture that it is at: one that is still being born needs us
            # to be there.
            pool.shutdown(wait=True, cancel_futures=True)
            raise


@contextmanager
def _interrupts_blocked() -> Iterator[None]:
    """Hold Control-C back until the end; where the system has no signal masks it acts at once."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    former_mask = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, former_mask)


def _begin_worker() -> None:
    """Leave Control-C to the parent, and end when the parent is gone."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()
    if parent is not None:
        Thread(target=_exit_after, args=(parent,), daemon=True).start()


def _exit_after(parent: BaseProcess) -> None:
    parent.join()
    os._exit(1)
