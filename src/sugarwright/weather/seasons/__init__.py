"""Hourly springs of a place, generated: from its real years, or from its monthly normals.

One call, :func:`generate`, whichever source: :class:`RealYears` or :class:`MonthlyNormals`.
How, from what, and where it fails: ``docs/seasons.md``.
"""

from sugarwright.weather.seasons.normals import MonthlyNormals
from sugarwright.weather.seasons.places import guess_normals
from sugarwright.weather.seasons.real_years import RealYears, real_years
from sugarwright.weather.seasons.springs import Springs, generate

__all__ = ["MonthlyNormals", "RealYears", "Springs", "generate", "guess_normals", "real_years"]
