"""Ground floor: units and bases, the dictionary of quantities, estimates, results, messages,
equations and their register, errors. Imports nothing of ours above it."""
