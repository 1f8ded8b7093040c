"""Physics: pure functions of plain numbers, SI units, sources in the docstrings.

No state, no I/O, and nothing but ``math``: a command that needs one number imports no NumPy, and
the plant compiles these same functions for the simulator. Temperatures are degrees Celsius
(``_c``), strengths are Brix (mass percent); everything else is plain SI, with the unit in the name.
"""
