"""Reports in plain sentences, as commands print them and pages show them.

Sentences without breaks and columns: how wide a line is, is the face's business.
"""
