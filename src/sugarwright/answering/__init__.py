"""Whole questions of one sugarhouse folder, as commands and pages ask them.

What the rooms below answer from plain values is put together here from what a folder holds: the
description, the logbook, the weather. Nothing is printed; what is worth telling is handed back, or
told to a function that the face brings.
"""
