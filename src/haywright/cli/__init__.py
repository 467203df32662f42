"""The command line: one module per place, thin, science imported inside the command."""
