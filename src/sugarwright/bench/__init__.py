"""The finish bench: is it syrup, make it so, grade it, pack it.

Pure functions of plain numbers in SI that return what they found as dataclasses, each with its
uncertainty. They stand on ``physics`` and ``math`` alone, so that the answer comes at once.
"""
