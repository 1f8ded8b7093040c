"""The pages: what a phone in the sugarhouse and a computer in the kitchen show.

Everything on them comes from ``answering`` and the rooms below, as the commands have it. A page
lays out; it computes nothing.
"""
