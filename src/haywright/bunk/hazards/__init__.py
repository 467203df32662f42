"""What in hay can hurt an animal: one file per hazard, each with its published guides."""
