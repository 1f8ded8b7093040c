"""Sugarwright: a calibrated twin of one maple sugarhouse."""
