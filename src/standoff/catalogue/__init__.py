"""What is known of machines: entries that offer their own stations, modes and requirements.

A requirement is declared in exactly one place, in the entry whose parts it protects; the order of `pair.requirements`
is the order of every table.
"""
