"""Haywright carries one lot of hay from the stack to a decision, and keeps the evidence."""
