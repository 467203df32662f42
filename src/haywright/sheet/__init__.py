"""Results become energy, indices, protein, grades and flags on a test sheet.

Every equation a sheet can print is declared here, by name.
"""
