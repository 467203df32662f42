"""Ground floor: units, bases, the dictionary, estimates, results, messages, the register, errors.

Imports nothing of ours above it.
"""
