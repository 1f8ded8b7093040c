"""What syrup for sale needs, as typed: its colour class, its containers, the law's density."""

from __future__ import annotations

from collections.abc import Sequence

from sugarwright.answering.bench_terms import Terms, read
from sugarwright.bench.containers import SIZES, USUAL, Packing, containers
from sugarwright.bench.density_law import DensityLaws, density_laws
from sugarwright.bench.grade import Grade
from sugarwright.bench.grade import grade as graded
from sugarwright.errors import InputError
from sugarwright.units import FRACTION

USUAL_PACKING = "185 F"
USUAL_LOSS = "2 %"


def grade(light: str | None, terms: Terms, error: str = "1 %") -> Grade:
    """Return the colour class by the light let through at 560 nm.

    Raises
    ------
    InputError : nothing was measured, or what cannot be
    """
    if light is None:
        raise terms.refusal("light", "is needed: the light let through", 'as in "62 %"')
    sd_fraction = read(error, FRACTION, terms.named("error"), 0.0, 0.2)
    return graded(terms.share(light, "light", 1.0), sd_fraction)


def pack(
    volume: str | None,
    terms: Terms,
    temperature: str = USUAL_PACKING,
    brix: str | None = None,
    into: Sequence[str] = (),
    loss: str = USUAL_LOSS,
) -> tuple[Packing, float]:
    """Return the containers that a hot batch fills, and its strength.

    Parameters
    ----------
    volume : of the batch, hot
    terms : of the question
    temperature : as it is packed
    brix : its strength; left out: the house's, or 66.9
    into : sizes; the larger are filled first
    loss : share that stays in filter, filler and pails

    Raises
    ------
    InputError : what is left out, or cannot be
    """
    if volume is None:
        raise terms.refusal("volume", "is needed: the hot batch", 'for example "10 gal"')
    strength = terms.finish_brix or 66.9
    if brix is not None:
        strength = terms.strength_brix(brix, "brix")
    packing_c = terms.temperature_c(temperature, "temperature")
    hot_m3 = terms.volume_m3(volume, "volume", 1e-5)
    loss_fraction = terms.share(loss, "loss", 0.4)
    sizes = [_size(text, terms) for text in into]
    usual = USUAL[terms.units]
    return containers(hot_m3, strength, packing_c, sizes, usual, loss_fraction), strength


def law(place: str | None, terms: Terms) -> DensityLaws:
    """Return what laws say of the density of syrup; of all places, if none is named.

    Raises
    ------
    InputError : a place whose law is not known here
    """
    try:
        return density_laws(place)
    except InputError as error:
        raise error.at(terms.named("place")) from None


def _size(text: str, terms: Terms) -> str:
    """Return the name of a container as typed: any case, one or many of them, "1l" for "1 L".

    Raises
    ------
    InputError : no such container
    """

    def plain(name: str) -> str:
        return "".join(name.casefold().split()).replace("-", "").rstrip("s")

    wanted = plain(text)
    for name in SIZES:
        if plain(name) == wanted:
            return name
    raise InputError(terms.named("into"), text, "is no container known here", ", ".join(SIZES))
