"""What to do with a batch: thin it, boil it down, blend it; what some sap holds. As typed."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from sugarwright.answering.bench_terms import Terms, read
from sugarwright.bench.adjust import Adjustment, Batch, batch_of_volume
from sugarwright.bench.adjust import adjust as adjusted
from sugarwright.bench.blend import Blend, blend_to
from sugarwright.bench.blend import blend as blended
from sugarwright.bench.sap_to_syrup import SapToSyrup, sap_to_syrup
from sugarwright.errors import InputError, QuantityError
from sugarwright.units import BRIX, MASS, parse

ROOM_C = 20.0
USUAL_ERROR = "0.2 Brix"
_DRUM = re.compile(
    r"\s*(?P<amount>.*?[a-z0-9])(?:\s*[,;@]\s*|\s+(?:at|of)\s+|\s+)"
    r"(?P<brix>[0-9]+(?:[.,][0-9]+)?)\s*(?:%|°?\s*bx|°?\s*brix)?\s*",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class BatchTyped:
    """A batch and what it should become, as typed.

    Parameters
    ----------
    volume, weight : one of the two
    brix : its strength
    temperature : when its volume was read
    to : strength wanted; left out: the house's
    with_ : strength of what is added; left out: water, or boiling
    error : of the instrument, one standard deviation
    """

    volume: str | None
    weight: str | None
    brix: str | None
    temperature: str = "68 F"
    to: str | None = None
    with_: str | None = None
    error: str = USUAL_ERROR


def adjust(typed: BatchTyped, terms: Terms) -> tuple[Adjustment, float]:
    """Return what brings a batch to its strength, and that strength.

    Raises
    ------
    InputError : what is left out, or cannot be
    """
    target = terms.target_brix(typed.to)
    if typed.brix is None:
        raise terms.refusal("brix", "is needed: the strength of the batch as it is")
    strength = terms.strength_brix(typed.brix, "brix")
    at_c = terms.temperature_c(typed.temperature, "temperature")
    added = None if typed.with_ is None else terms.strength_brix(typed.with_, "with", 0.0)
    sd_brix = _sd_brix(typed.error, terms)
    mass = terms.batch_kg(typed.volume, typed.weight, strength, at_c)
    batch = Batch(mass, strength, sd_brix, 0.01 if typed.weight is None else 0.002)
    return adjusted(batch, target, added), target


def blend(
    drums: Sequence[str], to: str | None, terms: Terms, error: str = USUAL_ERROR
) -> tuple[Blend, bool]:
    """Return what drums give, and whether a strength was aimed at.

    Parameters
    ----------
    drums : each an amount and a strength, "40 gal 68.2"
    to : strength wanted; left out: all poured together
    terms : of the question
    error : of the instrument, one standard deviation

    Raises
    ------
    InputError : no drum, or what cannot be
    """
    if not drums:
        problem = "is needed, once for each drum"
        raise terms.refusal("drum", problem, 'for example "40 gal 68"')
    sd_brix = _sd_brix(error, terms)
    batches = [_drum(text, sd_brix, terms) for text in drums]
    if to is None:
        return blended(batches), False
    return blend_to(batches, terms.strength_brix(to, "to")), True


def ratio(
    sap: str, brix: str | None, to: str | None, terms: Terms, error: str = "0.1 Brix"
) -> SapToSyrup:
    """Return how much syrup is in some sap.

    Parameters
    ----------
    sap : how much
    brix : its strength
    to : strength of the syrup; left out: the house's, or 66.0
    terms : of the question
    error : of the instrument, one standard deviation

    Raises
    ------
    InputError : what is left out, or cannot be
    """
    if brix is None:
        raise terms.refusal("brix", "is needed: the strength of the sap")
    sap_brix = terms.strength_brix(brix, "brix", 0.2, 60.0)
    syrup_brix = terms.finish_brix or 66.0
    if to is not None:
        syrup_brix = terms.strength_brix(to, "to")
    sap_m3 = terms.volume_m3(sap, "sap", 1e-6, 1e5)
    return sap_to_syrup(sap_m3, sap_brix, syrup_brix, _sd_brix(error, terms, 2.0))


def _sd_brix(text: str, terms: Terms, greatest: float = 5.0) -> float:
    return read(text, BRIX, terms.named("error"), 0.0, greatest)


def _drum(text: str, sd_brix: float, terms: Terms) -> Batch:
    field = terms.named("drum")
    found = _DRUM.fullmatch(text) if len(text) <= 100 else None
    if found is None:
        problem = "is no amount and strength"
        raise QuantityError(field, text, problem, fix='Write it like "40 gal 68.2"')
    brix = terms.strength_brix(found["brix"], "drum")
    try:
        parse(found["amount"], MASS)
    except InputError:
        volume_m3 = terms.volume_m3(found["amount"], "drum")
        return batch_of_volume(volume_m3, brix, ROOM_C, sd_brix)
    return Batch(read(found["amount"], MASS, field, 1e-3, 1e6), brix, sd_brix, 0.002)
