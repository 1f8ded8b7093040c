"""Cautions of the bench, shown where the act is. Local rules and labels come first."""

from __future__ import annotations

BOILING = (
    "Boiling syrup sticks and burns deep: gloves, boots, long sleeves, no children near. Take the "
    "sample with a long ladle; never lean over the pan, never leave it lit and alone."
)
THINNING = (
    "Add to hot syrup slowly, well away from your face: it can spatter. Stir, wait, measure again."
)
PACKING = (
    "Fill at 185 to 190 °F (85 to 88 °C), so that it is above 180 °F (82 °C) when the cap goes on; "
    "turn it on its side so that the cap gets hot too. Hot glass can burst: warm it first."
)
TOO_COOL = "Below 180 °F (82 °C) moulds live on. Heat it again before packing."
LAW = (
    "No legal advice. The authority's own text rules: ask your state, province or country before "
    "you sell, also about labels and grades."
)
