"""The lab: batches of readings become results with their uncertainty.

One file per determination; calibration, quality control and detection limits beside them.
"""
