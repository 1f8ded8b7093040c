"""(d) What no way of working can beat: the linear relaxation's optimum, as an outcome."""

from __future__ import annotations

from time import process_time

from .bound import bound_money
from .houses import Case
from .outcome import Outcome, ready
from .seasons import Season


def bound(case: Case, season: Season) -> Outcome:
    """(d) Its net alone: a relaxation has no syrup of its own to tell of."""
    began_s = process_time()
    net_money = bound_money(*ready(case, season))
    return Outcome(net_money, processor_s=process_time() - began_s)
