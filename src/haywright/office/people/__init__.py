"""Who works here, and what each may see and do."""
