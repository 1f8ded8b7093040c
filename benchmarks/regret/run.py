"""Work out what is not yet known, on some cores, and hand back all that is."""

from __future__ import annotations

import os
from collections.abc import Iterable
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import asdict, dataclass

from .cache import code_hash, keep, load
from .card_file import card_of
from .houses import cases
from .methods import METHODS
from .outcome import Outcome
from .seasons import season
from .variations import VARIED, changes_of

NICE = 10
ALL = {**METHODS, **VARIED}


@dataclass(frozen=True)
class Job:
    """One house in one season by one method."""

    house: str
    season: str
    method: str

    @property
    def name(self) -> tuple[str, ...]:
        """Under which its outcome is kept."""
        if self.method in VARIED:
            sources = code_hash("by_planner", repr(changes_of(self.method)))
        else:
            sources = code_hash(ALL[self.method].__module__.rpartition(".")[2])
        return self.house, self.method, f"{self.season} {sources}"


def outcome_of(job: Job) -> Outcome | None:
    """Return a job's outcome if it is known."""
    known = load(*job.name)
    return None if known is None else Outcome(**known)


def known_of(jobs: Iterable[Job]) -> dict[Job, Outcome]:
    """Return the outcomes that are known already."""
    return {job: found for job in jobs if (found := outcome_of(job)) is not None}


def work_out(job: Job, name: tuple[str, ...]) -> Outcome:
    """Return a job's outcome, and keep it under a name given when its sources were read."""
    found = ALL[job.method](cases()[job.house], season(job.season))
    keep(asdict(found), *name)
    return found


def run(jobs: Iterable[Job], workers: int) -> dict[Job, Outcome]:
    """Work out all jobs; each is kept as soon as it is known, so a run may be broken off."""
    jobs = list(jobs)
    known = known_of(jobs)
    waiting = [job for job in jobs if job not in known]
    print(f"{len(known)} of {len(jobs)} results known")
    for house in dict.fromkeys(job.house for job in waiting if job.method == "card"):
        card_of(cases()[house])
    with ProcessPoolExecutor(workers, initializer=os.nice, initargs=(NICE,)) as pool:
        running = {pool.submit(work_out, job, job.name): job for job in waiting}
        for done in as_completed(running):
            job, found = running[done], done.result()
            known[job] = found
            print(
                f"{len(known):5d}  {job.house}, {job.season}, {job.method}: "
                f"{found.net_money:.0f}  ({found.processor_s:.0f} s)",
                flush=True,
            )
    return known
