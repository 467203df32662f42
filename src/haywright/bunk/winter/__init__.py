"""The winter: hay put out and wasted, and the plan of who eats what until turnout."""
