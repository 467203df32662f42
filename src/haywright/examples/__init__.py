"""The folders of the demo. Invented throughout; data only, no code."""
